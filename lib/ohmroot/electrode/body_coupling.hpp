// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <cstddef>
#include <span>
#include <vector>

namespace ohmroot::electrode {

/// From middle to middle of two bodies.
struct BodyDistances {
  double least_m;
  double greatest_m;
};

/// Equal rods or plates at any positions in one soil, joined: their coupling is computed once by the field
/// solution of pairs, farther apart than three times a body's diagonal by that of one alone and reciprocity, after which an
/// arrangement costs about a microsecond. For searches over positions.
/// Accuracy: within 1 % of the field solution for rods at least half a rod length apart, better the farther apart they
/// are; within 2 % for upright plates at least two sides apart, whose pairs are solved in one direction, halfway
/// between in line and face to face (tests).
class BodyCoupling {
public:
  /// Only distances within these can be asked for; the fewer, the sooner it is made. Throws DomainError for a
  /// body that is not valid, a least distance under three diameters of a rod or one and a half times a plate's
  /// extent in plan, and a greatest that is not greater.
  BodyCoupling(const earth::LayeredSoil& soil, const Shape& body, const BodyDistances& distances);

  /// Of one body alone. [ohm]
  [[nodiscard]] double own_ohm() const noexcept { return own_ohm_; }

  /// Resistance of the joined bodies. [ohm] Throws DomainError for no position, and for two nearer or
  /// farther than the distances above.
  [[nodiscard]] double resistance_ohm(std::span<const RodPosition> positions) const;

  /// Where the pairs of bodies stand in the table: the same for all couplings made for the same distances, so that an
  /// arrangement in many soils is looked up once. Throws DomainError as above.
  class Pairs {
  private:
    friend class BodyCoupling;
    std::size_t body_count_ = 0;
    double least_log_ = 0.0;          // unit: none; as below
    double steps_per_log_ = 0.0;      // unit: none
    std::vector<std::size_t> steps_;  // one column of the lower triangle after the other
    std::vector<double> parts_;       // unit: none; of a step
  };
  [[nodiscard]] Pairs pairs(std::span<const RodPosition> positions) const;
  /// The same for such pairs. [ohm] Throws DomainError for pairs that were made for other distances.
  [[nodiscard]] double joined_ohm(const Pairs& pairs) const;

private:
  double own_ohm_;
  double least_log_;                // unit: none; of the squared distance
  double steps_per_log_;            // unit: none
  std::vector<double> mutual_ohm_;  // at equal steps of that logarithm
};

}  // namespace ohmroot::electrode
