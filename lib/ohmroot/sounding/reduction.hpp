// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <string_view>

namespace ohmroot::sounding {

/// Depth of the point contact that stands for a stake. [m]
/// Bare stake: driven length / sqrt(3) (leading order of the average potential of a line contact; checked
/// against the exact values in reference/). Insulated to the tip: the driven depth. Handbook rule: the
/// driven depth whatever the contact.
[[nodiscard]] double effective_stake_depth_m(const FourPoleReading& reading, StakeDepthRule rule);

/// Geometric factor K: apparent resistivity = K R. [m]
/// Four point contacts at depth b in uniform soil, images in the surface included:
///   K = 4 pi / (sum over AM, BN minus AN, BM of 1/r + 1/sqrt(r^2 + 4 b^2)).
/// b = 0: Wenner 2 pi a, Schlumberger pi (L^2 - l^2) / (2 l), L = AB/2, l = MN/2.
/// Throws DomainError unless 0 < MN/2 < AB/2 and the depth is finite and not negative.
/// Source: Wenner, J. Franklin Inst. 1915 (form with depth from memory; limits checked).
[[nodiscard]] double geometric_factor_m(const FourPoleReading& reading,
                                        StakeDepthRule rule = StakeDepthRule::effective_point);

/// K R. [ohm m]
[[nodiscard]] double apparent_resistivity_ohm_m(const FourPoleReading& reading,
                                                StakeDepthRule rule = StakeDepthRule::effective_point);

/// In words, for printing beside the result: which depth was used and why.
[[nodiscard]] std::string_view stake_depth_note(const FourPoleReading& reading, StakeDepthRule rule);

/// Apparent resistivity that the reading's geometry would show over a layered soil, stakes at the surface.
/// [ohm m]  Exact finite MN. Any array whose four distances are known can be added here.
[[nodiscard]] double modelled_apparent_resistivity_ohm_m(const earth::LayeredSoil& soil,
                                                         const FourPoleReading& reading);

}  // namespace ohmroot::sounding
