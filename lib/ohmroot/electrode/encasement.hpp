// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

namespace ohmroot::electrode {

/// A vertical rod from the surface, in a round column of concrete or backfill as long as the rod. The fill's diameter
/// is from the rod's own to a tenth of the rod's length.
struct EncasedRod {
  Rod rod;
  double fill_diameter_m;
  double fill_resistivity_ohm_m;  ///< 0.01 to 1 000 000
};

/// Throws DomainError unless the rod is as described above.
void require_valid(const EncasedRod& rod);

/// (1/2 pi L) {rho [ln(8L/D) - 1] + rho_c ln(D/d)}: the same in uniform soil, in closed form; its first term
/// is about one per cent above the truth, its second one neglects the shorter ways at the rod's end: against the field
/// solution (a Conductor with a Core) up to 2 % high, 10 % where the fill resists ten times more than the soil. Throws
/// DomainError for a rod that is not valid, or unless soil_resistivity_ohm_m > 0.
/// Source: Fagan, Lee, IEEE Trans. Ind. Gen. Appl. (1970); IEEE Std 80 cl. 14.6 (from memory).
[[nodiscard]] double encased_rod_formula_ohm(double soil_resistivity_ohm_m, const EncasedRod& rod);

/// 0.2 / V^(1/3): foundation steel spread through a block of concrete of this volume, per ohm m. [1/m]
/// A hemisphere of the volume has 0.2036. From 1e-9 to 1e9 m3; DomainError otherwise.
/// Source: IEC 60364-5-54, French edition's guide (from memory).
[[nodiscard]] double foundation_factor_per_m(double volume_m3);  // unit: m3

}  // namespace ohmroot::electrode
