// SPDX-License-Identifier: MIT
#pragma once

namespace ohmroot::electrode {

/// The volume of soil in which a new electrode could be placed: a rectangle of land down to the depth that
/// can be reached. Each from 1 micrometre to 1000 km; DomainError otherwise.
struct ReachableVolume {
  double length_m;
  double width_m;
  double depth_m;
};

/// No electrode inside the volume has a lower resistance than this, per ohm m of the least resistive layer
/// anywhere (half-space included): R >= rho_min * factor. [1/m]
/// The volume is enclosed by half an ellipsoid of semi-axes sqrt(3) times half-length, half-width and
/// depth; the resistance of that half-buried metal body is rho / (2 pi) R_F(a^2, b^2, c^2) (Carlson's
/// symmetric integral). Enclosing metal can only lower the resistance, and so can less resistive soil, so
/// it is a bound, not an estimate. It concerns new metal in that volume, not metal already in the ground.
/// Source: classical potential theory; triaxial ellipsoid rows in reference/.
[[nodiscard]] double ellipsoid_floor_bound_per_m(const ReachableVolume& volume);

/// Resistance per ohm m of a half-buried metal ellipsoid, semi-axes horizontal, horizontal, down. [1/m]
/// Each from 1 micrometre to 1000 km; DomainError otherwise.
struct SemiAxes {
  double along_m;
  double across_m;
  double down_m;
};
[[nodiscard]] double half_ellipsoid_factor_per_m(const SemiAxes& axes);

/// Conductances of separate electrodes add at most: joined, n equal ones never have less than R_1 / n.
/// Returns the least number of them that could meet the limit even infinitely far apart.
/// one_electrode_ohm > 0, limit_ohm > 0. Throws DomainError if more than a million would be needed.
struct SeparateElectrodes {
  double one_electrode_ohm;
  double limit_ohm;
};
[[nodiscard]] int least_count_bound(const SeparateElectrodes& question);

}  // namespace ohmroot::electrode
