// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/detail/evaluator.hpp>
#include <ohmroot/design/search.hpp>

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace ohmroot::design::detail {

/// Judges arrangements of one question against each other, on its thinned draws, the hardest draw first, so that
/// one that fails is known to fail early.
class Comparison {
public:
  Comparison(const Question& question, const SearchOptions& options);

  /// What the value under the compared draws may be at most: the goal's resistance at first.
  [[nodiscard]] double aim_ohm() const noexcept { return aim_ohm_; }
  void aim_at(double value_ohm) noexcept { aim_ohm_ = value_ohm; }

  /// Values of all (rods or plates, without tape or steel), in their order.
  [[nodiscard]] std::vector<Design> judged(const std::vector<Arrangement>& rods) const;
  [[nodiscard]] std::vector<Design> costed(const std::vector<Arrangement>& arrangements) const;

  /// Of rods without tape: whether the aim is met.
  [[nodiscard]] bool is_met(const Arrangement& rods) const;

  /// Keeps those that the hardest-but-allowed draw does not rule out as far too poor for their cost, and the lowest of each
  /// number of pieces in it, whatever it costs.
  [[nodiscard]] std::vector<Arrangement> screened(const std::vector<Arrangement>& rods) const;

  /// Cheaper groups, one rod moved or left out at a time, as long as the aim stays met.
  [[nodiscard]] Arrangement cheapened(Arrangement rods, const std::vector<PlanPoint>& places) const;

  /// The cheapest group of as many rods of the same length that simulated annealing finds from a group that meets the
  /// aim: rods move in any number, also through groups that do not meet it. Same seed, same answer.
  [[nodiscard]] Arrangement rearranged(const Arrangement& rods, const std::vector<PlanPoint>& places,
                                       std::uint64_t seed) const;

  /// Places added one by one where they lower the resistance most, until the rods are used up: every stage.
  [[nodiscard]] std::vector<Arrangement> grown(int section_count, const std::vector<PlanPoint>& places) const;

  /// Of arrangements with tape or steel: value by field solution if the aim is met, infinity if not; whether a
  /// field solution was needed for that.
  struct MixedValue {
    double value_ohm;
    bool was_solved;
  };
  [[nodiscard]] MixedValue mixed_value(const Arrangement& arrangement);
  /// By the sum of conductances alone, without solving it: false says nothing.
  [[nodiscard]] bool is_surely_above(const Arrangement& arrangement, double value_ohm);
  [[nodiscard]] double solved_value_ohm(const Arrangement& arrangement) const;

private:
  /// Whether a piece other than that one of the group stands at the place already, or too near to it, or it has no room.
  [[nodiscard]] bool is_taken(const Arrangement& group, std::size_t except, const PlanPoint& place) const;
  [[nodiscard]] double value_ohm(const std::vector<double>& ohm) const;

  const Question& question_;
  Evaluator evaluator_;
  double aim_ohm_;
  std::size_t allowed_misses_;
};

}  // namespace ohmroot::design::detail
