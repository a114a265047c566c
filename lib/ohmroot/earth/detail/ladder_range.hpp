// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/exponential_ladder.hpp>

namespace ohmroot::earth::detail {

/// A wavenumber at which, and below which, functions of the soil are near their static limit: where their
/// relative departure stays small over some halvings, so that one crossing of the limit does not pass for it.
template <class Departure>
double nearly_static_per_m(double start_per_m, const Departure& departure) {
  constexpr double near = 0.03;
  constexpr int halvings = 4;
  double found_per_m = start_per_m;
  int near_count = 0;
  for (double wavenumber = start_per_m; near_count < halvings; wavenumber *= 0.5) {
    if (departure(wavenumber) > near) {
      near_count = 0;
      continue;
    }
    if (near_count++ == 0) found_per_m = wavenumber;
  }
  return found_per_m;
}

struct LadderEnds {
  double thinnest_layer_m;
  double nearly_static_per_m;  ///< wavenumber at which the soil is near its static limit
};

inline LadderRange checked_range(const LadderEnds& ends) {
  constexpr double greatest_range_ratio = 1e12;
  const LadderRange range{0.7 * ends.thinnest_layer_m, 1.0 / ends.nearly_static_per_m};
  if (range.greatest_shift_m > greatest_range_ratio * range.least_shift_m)
    throw DomainError("soil", "layers of extreme contrast or thickness", "within what images can carry");
  return range;
}

}  // namespace ohmroot::earth::detail
