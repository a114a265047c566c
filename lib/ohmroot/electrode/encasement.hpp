// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>

namespace ohmroot::electrode {

/// A vertical rod from the surface, in a round column of concrete or backfill as long as the rod.
struct EncasedRod {
  Rod rod;
  double fill_diameter_m;
  double fill_resistivity_ohm_m;  ///< 0.01 to 1 000 000
};

/// The rod's resistance between two bounds. [ohm] The truth lies between them but for the flow through the
/// rod's tip, a share of the order of its radius over its length.
struct EncasedResistance {
  double lower_bound_ohm;
  double upper_bound_ohm;
};

/// A metal column of the fill's diameter in the soil, in series with the fill as a coaxial layer. Were the
/// outside of the fill metal, the resistance were the sum of the two, and a metal sheet can only lower it:
/// that is the lower bound. The leakage of that column, led straight through the fill, is a possible flow,
/// whose losses are not below the true ones (Thomson's principle): that is the upper bound.
/// Holds for fill better or worse than the soil. Rod as in shape.hpp, fill diameter from the rod's own to a
/// tenth of its length; DomainError otherwise.
/// Source: potential theory; derived.
[[nodiscard]] EncasedResistance encased_rod_bounds(const earth::LayeredSoil& soil, const EncasedRod& rod);

/// (1/2 pi L) {rho [ln(8L/D) - 1] + rho_c ln(D/d)}: the same in uniform soil, in closed form; its first term
/// is about one per cent above the truth. Preconditions as above, soil_resistivity_ohm_m > 0.
/// Source: Fagan, Lee, IEEE Trans. Ind. Gen. Appl. (1970); IEEE Std 80 cl. 14.6 (from memory).
[[nodiscard]] double encased_rod_formula_ohm(double soil_resistivity_ohm_m, const EncasedRod& rod);

/// 0.2 / V^(1/3): foundation steel spread through a block of concrete of this volume, per ohm m. [1/m]
/// A hemisphere of the volume has 0.2036. From 1e-9 to 1e9 m3; DomainError otherwise.
/// Source: IEC 60364-5-54, French edition's guide (from memory).
[[nodiscard]] double foundation_factor_per_m(double volume_m3);  // unit: m3

}  // namespace ohmroot::electrode
