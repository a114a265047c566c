// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

namespace ohmroot::earth {

/// Potential at the surface, per ampere, at a distance from a point current source at the surface. [V/A]
/// distance_m > 0. Any number of layers.
///   one layer: rho / (2 pi r)
///   two layers: image series (Sunde 1949; Tagg 1964), the endless rest summed by series acceleration
///   more layers, or a distance above 300 thicknesses: Hankel integral of the resistivity transform (Koefoed
///   1979), taken along a ray of the complex plane where nothing swings (detail/ray_filter.hpp)
/// Accuracy: relative error below 1e-11 for contrasts to 1:1000 either way and distances of 0.001 to 1000
/// thicknesses (tests/earth compares both routes with each other and with the plain image sum); worst where
/// the base is conductive and the potential small, 1e-14 elsewhere. Throws DomainError unless distance_m is
/// positive and finite.
[[nodiscard]] double surface_potential_ohm(const LayeredSoil& soil, double distance_m);

/// Two points on a line through the source, at middle_m - half_gap_m and middle_m + half_gap_m from it.
struct DistancePair {
  double middle_m;
  double half_gap_m;
};

/// Potential at the nearer point less that at the farther, per ampere: what a pair of potential stakes sees
/// of one current stake. Keeps its digits however close the two points are. [V/A]
/// Throws DomainError unless 0 < half_gap_m < middle_m.
[[nodiscard]] double surface_potential_difference_ohm(const LayeredSoil& soil, const DistancePair& distance);

/// Resistivity transform T1(lambda) of the layered half-space [ohm m]: the kernel of every sounding curve.
/// wavenumber_per_m >= 0; at 0 it is the resistivity of the half-space, for large values that of the top.
/// Source: recursion T_i = rho_i (1 + k e) / (1 - k e), e = exp(-2 lambda h_i) (Koefoed 1979; from memory,
/// checked by the dual-section property T[rho] T[1/rho] = 1).
[[nodiscard]] double resistivity_transform_ohm_m(const LayeredSoil& soil, double wavenumber_per_m);

}  // namespace ohmroot::earth
