// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <vector>

namespace ohmroot::sounding::detail {

/// Readings first, then over-range ones that are known only to be at least so much. Throws DomainError if one stands
/// among the others.
[[nodiscard]] inline std::vector<FourPoleReading> with_bounds(const std::vector<FourPoleReading>& readings,
                                                              const std::vector<FourPoleReading>& bounds) {
  for (const FourPoleReading& reading : readings) {
    if (reading.is_lower_bound)
      throw DomainError("readings", "an over-range one", "a place among the bounds");
  }
  std::vector<FourPoleReading> all = readings;
  for (const FourPoleReading& bound : bounds) {
    if (!bound.is_lower_bound) throw DomainError("bounds", "a reading", "over-range readings only");
    all.push_back(bound);
  }
  return all;
}

/// The bound as if it had been read.
[[nodiscard]] inline FourPoleReading as_shown(FourPoleReading reading) {
  reading.is_lower_bound = false;
  return reading;
}

/// What an over-range reading says of a residual, ln(bound / modelled): nothing where the model is above it.
[[nodiscard]] inline double residual_of(double ln_measured_over_modelled, bool is_lower_bound) {
  return is_lower_bound && ln_measured_over_modelled < 0.0 ? 0.0 : ln_measured_over_modelled;
}

}  // namespace ohmroot::sounding::detail
