// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <span>
#include <vector>

namespace ohmroot::electrode {

/// From axis to axis of two rods.
struct RodDistances {
  double least_m;
  double greatest_m;
};

/// Equal vertical rods at any positions in one soil, joined: their coupling is computed once by the field
/// solution of pairs, after which an arrangement costs about a microsecond. For searches over positions.
/// Accuracy: within 1 % of the field solution for rods at least half a rod length apart (tests), better the
/// farther apart they are.
class RodCoupling {
public:
  /// Only distances within these can be asked for; the fewer, the sooner it is made. Throws DomainError for a
  /// rod that is not valid, a least distance under three diameters, and a greatest that is not greater.
  RodCoupling(const earth::LayeredSoil& soil, const Rod& rod, const RodDistances& distances);

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
