// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

namespace ohmroot::earth::detail {

/// Surface potential per ampere over any number of layers. [V/A]
///
/// V = 1/(2 pi) int_0^inf T(lambda) J0(lambda r) d lambda is not computed along the real axis, where J0
/// swings without end. T has no pole with a positive real part (it is an input impedance of passive layers),
/// so that J0 = Re H0 (first Hankel function) allows the path to be turned by 45 degrees:
///   V = 1/(2 pi r) Re int T(z / r) H0(z) dz,  z = s exp(i pi/4), s from 0 to infinity.
/// There H0 dies away like exp(-0.7 s), echoes from a depth d like exp(-1.4 s d/r), and both are smooth in
/// ln s, whatever the ratio of distance and thickness. The plain sum over equal steps of ln s converges
/// geometrically (trapezoidal rule, Trefethen and Weideman, SIAM Review 56 (2014)), with weights that do not
/// depend on soil and distance: they are formed once. No term is large against the result, so that a small
/// potential over a conductive base keeps its digits.
[[nodiscard]] double ray_potential_ohm(const LayeredSoil& soil, double distance_m);

/// Fall of that potential with distance, -dV/dr, by the same path with H1. [V/A/m]
[[nodiscard]] double ray_field_ohm_per_m(const LayeredSoil& soil, double distance_m);

}  // namespace ohmroot::earth::detail
