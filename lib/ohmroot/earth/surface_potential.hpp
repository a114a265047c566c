// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

namespace ohmroot::earth {

/// Potential at the surface, per ampere, at a distance from a point current source at the surface. [V/A]
/// distance_m > 0. Any number of layers.
///   one layer: rho / (2 pi r)
///   two layers: image series (Sunde 1949; Tagg 1964), tail bounded and summed
///   more layers: resistivity transform by downward recursion and a Hankel integral of what is left after
///   the half-space term is taken out (Koefoed 1979)
/// Accuracy: see reference/ACCURACY.md.
[[nodiscard]] double surface_potential_ohm(const LayeredSoil& soil, double distance_m);

/// Resistivity transform T1(lambda) of the layered half-space [ohm m]: the kernel of every sounding curve.
/// wavenumber_per_m >= 0; at 0 it is the resistivity of the half-space, for large values that of the top.
/// Source: recursion T_i = rho_i (1 + k e) / (1 - k e), e = exp(-2 lambda h_i) (Koefoed 1979; from memory,
/// checked by the dual-section property T[rho] T[1/rho] = 1).
[[nodiscard]] double resistivity_transform_ohm_m(const LayeredSoil& soil, double wavenumber_per_m);

}  // namespace ohmroot::earth
