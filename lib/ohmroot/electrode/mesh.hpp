// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

namespace ohmroot::electrode {

/// What the published formulas of a horizontal mesh know of it. Greater than 0, from 1 micrometre to 1000 km and its
/// square; DomainError otherwise.
struct MeshSize {
  double conductor_length_m;  ///< of all conductors, and of rods joined to it where a formula says so
  double area_m2;             ///< that the mesh covers
  double depth_m;
};
/// Throws DomainError for a mesh that is not valid.
[[nodiscard]] MeshSize size_of(const Mesh& mesh);

/// 1/L + 1/sqrt(20 A) [1 + 1/(1 + h sqrt(20/A))]. [1/m] For depths of 0.25 to 2.5 m.
/// Source: J. G. Sverak; IEEE Std 80-2000 eq. (52) (from memory).
[[nodiscard]] double sverak_factor_per_m(const MeshSize& mesh);

/// (1/4) sqrt(pi/A) + 1/L: a disc of equal area on the surface and the conductors' own. [1/m]
/// Source: Laurent, Niemann; IEEE Std 80-2000 eq. (50) (from memory).
[[nodiscard]] double laurent_factor_per_m(const MeshSize& mesh);

/// Coefficients of the combined formula: straight lines in length over width, for depths of 0, sqrt(A)/10 and sqrt(A)/6,
/// taken linearly between them and held beyond.
/// Source: IEEE Std 80-2000 figure 25 (from memory).
struct CombinedCoefficients {
  double k1_ratio;
  double k2_ratio;
};
/// depth_ratio: depth over the root of the area, not negative; length_to_width_ratio from 1. DomainError otherwise.
struct MeshProportions {
  double depth_ratio;
  double length_to_width_ratio;
};
[[nodiscard]] CombinedCoefficients combined_coefficients(const MeshProportions& mesh);

/// A mesh and equal rods joined to it.
struct MeshAndRods {
  MeshSize mesh;  ///< without the rods
  double diameter_m;
  double mesh_resistivity_ohm_m;  ///< of the soil about the mesh
  CombinedCoefficients coefficients;
  int rod_count;
  double rod_length_m;
  double rod_diameter_m;
  double rod_resistivity_ohm_m;  ///< of the soil about the rods; the mutual resistance takes it too
};
/// Own resistances, mutual one and that of both together. [ohm]
struct CombinedResistance {
  double mesh_ohm;
  double rods_ohm;
  double mutual_ohm;
  double total_ohm;
};
/// Mesh R1 = rho/(pi L) [ln(2L/sqrt(d h)) + k1 L/sqrt(A) - k2]; rods R2 = rho/(2 pi n l) [ln(8 l/d) - 1 + 2 k1 l/sqrt(A)
/// (sqrt(n) - 1)^2]; mutual Rm = rho/(pi L) [ln(2L/l) + k1 L/sqrt(A) - k2 + 1]; total (R1 R2 - Rm^2)/(R1 + R2 - 2 Rm).
/// Lengths and resistivities as above, at least one rod; DomainError otherwise.
/// Source: S. J. Schwarz; IEEE Std 80-2000 eqs (53) to (56) (from memory; a worked example read).
[[nodiscard]] CombinedResistance combined_resistance(const MeshAndRods& both);

/// R1 above per ohm m, coefficients of the mesh's own proportions. [1/m] Throws DomainError for a mesh that is not valid.
[[nodiscard]] double schwarz_factor_per_m(const Mesh& mesh);

}  // namespace ohmroot::electrode
