// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

namespace ohmroot::earth::detail {

/// Distance over thickness of the top layer up to which the image sum is the quicker route.
inline constexpr double greatest_image_distance_ratio = 300.0;

/// Surface potential per ampere over two layers by the image series (Sunde 1949; Tagg 1964):
///   V = rho1 / (2 pi) (1/r + 2 sum K^n / sqrt(r^2 + (2 n h)^2)),  K = (rho2 - rho1) / (rho2 + rho1).
/// The first terms, as many as the distance asks for, are added as they stand; the infinite rest is summed
/// by an alternating-series acceleration whose error is below 1e-14 of the rest. [V/A]
/// The soil must have exactly two layers. The cost grows with distance over thickness.
[[nodiscard]] double image_potential_ohm(const LayeredSoil& soil, double distance_m);

}  // namespace ohmroot::earth::detail
