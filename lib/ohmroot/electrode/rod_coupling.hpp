// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <span>
#include <vector>

namespace ohmroot::electrode {

/// Equal vertical rods at any positions in one soil, joined: their coupling is computed once by the field
/// solution of pairs, after which an arrangement costs about a microsecond. For searches over positions.
/// Accuracy: within 1 % of the field solution for rods at least half a rod length apart (tests), better the
/// farther apart they are.
class RodCoupling {
public:
  /// Distances from three rod diameters to greatest_distance_m can be asked for. Throws DomainError for a
  /// rod that is not valid, and unless greatest_distance_m is greater than three diameters.
  RodCoupling(const earth::LayeredSoil& soil, const Rod& rod, double greatest_distance_m);

  /// Of one rod alone. [ohm]
  [[nodiscard]] double own_ohm() const noexcept { return own_ohm_; }

  /// Resistance of the joined rods. [ohm] Throws DomainError for no position, and for two rods nearer or
  /// farther than the distances above.
  [[nodiscard]] double resistance_ohm(std::span<const RodPosition> positions) const;

private:
  [[nodiscard]] double mutual_ohm(double squared_distance_m2) const;

  double own_ohm_;
  double least_log_;                // unit: none; of the squared distance
  double steps_per_log_;            // unit: none
  std::vector<double> mutual_ohm_;  // at equal steps of that logarithm
};

}  // namespace ohmroot::electrode
