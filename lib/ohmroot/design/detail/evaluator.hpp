// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/soils.hpp>
#include <ohmroot/electrode/rod_coupling.hpp>

#include <cstddef>
#include <map>
#include <vector>

namespace ohmroot::design::detail {

/// Resistances in the worst season, conductor included, of arrangements in every draw of the ground: of rods
/// alone by coupling tables, of anything with tape by the field solution.
class Evaluator {
public:
  Evaluator(const Parts& parts, const GroundDraws& draws, double conductor_ohm,
            const electrode::RodDistances& distances)
      : parts_(parts), draws_(draws), conductor_ohm_(conductor_ohm),
        distances_(distances) {}

  /// Tables for rods of so many sections in all draws; must be there before such rods are asked for.
  void prepare(int section_count);

  /// One value per draw.
  [[nodiscard]] std::vector<double> rods_ohm(const Arrangement& rods) const;
  [[nodiscard]] double rods_ohm(const Arrangement& rods, std::size_t draw) const;
  [[nodiscard]] std::vector<double> solved_ohm(const Arrangement& arrangement) const;

  /// No value of rods and tape together is less: conductances of separate pieces add at most. The pieces of tape
  /// are solved once per length.
  [[nodiscard]] std::vector<double> tape_bound_ohm(const Arrangement& arrangement);

  [[nodiscard]] const Parts& parts() const { return parts_; }
  [[nodiscard]] const GroundDraws& draws() const { return draws_; }

private:
  [[nodiscard]] double worst_ohm(double alone_ohm, std::size_t draw) const {
    return alone_ohm * draws_[draw].worst_season_ratio + conductor_ohm_;
  }
  const std::vector<double>& piece_ohm(double length_m);

  Parts parts_;
  GroundDraws draws_;
  double conductor_ohm_;
  electrode::RodDistances distances_;
  std::map<int, std::vector<electrode::RodCoupling>> tables_;
  std::map<long, std::vector<double>> pieces_;  // by length in millimetres, rounded up
};

/// The electrode alone, in the season of the measurement, by the field solution.
[[nodiscard]] double solved_alone_ohm(const Arrangement& arrangement, const Parts& parts,
                                      const earth::LayeredSoil& soil);

}  // namespace ohmroot::design::detail
