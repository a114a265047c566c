// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

namespace ohmroot::sounding::detail {

/// Driven depth over gap beyond which a stake is too long to be a point: a fifth. Handbooks ask for a tenth
/// or a twentieth, which the reduction does not need, since it knows the effective depth: at a fifth the
/// error that is left is 0.02 % for bare stakes (computed), at a half 0.3 %.
inline constexpr double greatest_depth_ratio = 0.2;

/// Distance from a current stake to the next potential stake: a for Wenner. [m]
[[nodiscard]] inline double stake_gap_m(const FourPoleReading& reading) {
  return reading.half_current_spacing_m - reading.half_potential_spacing_m;
}

}  // namespace ohmroot::sounding::detail
