// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>

namespace ohmroot::sounding::detail {

/// The square of a residual in units of its error, linear beyond two errors, so that one bad reading does not rule
/// (Huber, Ann. Math. Statist. 35 (1964) 73, from memory).
[[nodiscard]] inline double robust_square(double residual_ratio) {
  constexpr double linear_from = 2.0;
  const double off = std::abs(residual_ratio);
  return off <= linear_from ? off * off : linear_from * (2.0 * off - linear_from);
}

}  // namespace ohmroot::sounding::detail
