// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/soils.hpp>
#include <ohmroot/electrode/body_coupling.hpp>

#include <cstddef>
#include <map>
#include <optional>
#include <vector>

namespace ohmroot::design::detail {

/// Resistances in the worst season, conductor included, of arrangements in every draw of the ground: of equal pieces
/// (rods or plates) alone by coupling tables, of anything with tape or steel by the field solution.
class Evaluator {
public:
  Evaluator(const Parts& parts, const GroundDraws& draws, double conductor_ohm, double greatest_distance_m)
      : parts_(parts), draws_(draws), conductor_ohm_(conductor_ohm),
        greatest_distance_m_(greatest_distance_m) {}

  /// Tables for such pieces (design::pieces) in all draws, no nearer to each other than that; must be there before they
  /// are asked for.
  void prepare(int section_count, double least_distance_m);

  /// One value per draw.
  [[nodiscard]] std::vector<double> pieces_ohm(const Arrangement& pieces) const;
  [[nodiscard]] double pieces_ohm(const Arrangement& pieces, std::size_t draw) const;
  [[nodiscard]] std::vector<double> solved_ohm(const Arrangement& arrangement) const;

  /// No value of pieces, tape and steel together is less: their conductances add at most. In the first draws only;
  /// straight tapes are solved once per length, the steel once: always ask for as many draws.
  [[nodiscard]] std::vector<double> sum_bound_ohm(const Arrangement& arrangement, std::size_t draw_count);

  [[nodiscard]] const Parts& parts() const { return parts_; }
  [[nodiscard]] const GroundDraws& draws() const { return draws_; }

private:
  /// In the soil as it is, and frozen where it freezes.
  struct Tables {
    electrode::BodyCoupling usual;
    std::optional<electrode::BodyCoupling> frozen;
  };
  [[nodiscard]] double alone_ohm(const electrode::BodyCoupling::Pairs& pairs, const Tables& tables,
                                 std::size_t draw) const;
  const std::vector<double>& tape_ohm(double length_m, std::size_t draw_count);
  const std::vector<double>& steel_ohm(std::size_t draw_count);

  Parts parts_;
  GroundDraws draws_;
  double conductor_ohm_;
  double greatest_distance_m_;
  std::map<int, std::vector<Tables>> tables_;
  std::map<long, std::vector<double>> tapes_;  // by length in millimetres, rounded up
  std::vector<double> steel_;
};

}  // namespace ohmroot::design::detail
