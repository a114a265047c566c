// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <variant>

namespace ohmroot::electrode {

/// A thin flat disc of metal.
struct CircularPlate {
  double diameter_m;
  double depth_m;  ///< of its centre
  PlateAttitude attitude;
};

using Plate = std::variant<RectangularPlate, CircularPlate>;

enum class PlateStatus {
  converged,  ///< the estimate is at most 0.1 %
  coarse,     ///< a result, but its estimated error is greater: see error_ratio
};

struct PlateResistance {
  double resistance_ohm;
  double error_ratio;  ///< estimated, relative: from two finenesses, and the error of the kernel
  PlateStatus status;
};

/// Resistance of one bare plate in layered soil. The leakage is even on each of a few hundred panels graded
/// to the edges, the mean potential of all panels equal; two finenesses, of which the finer is returned. A
/// disc is a regular polygon of 48 sides and the same area. Accuracy: 0.1 % (reference/ACCURACY.md).
/// Lengths from 1 micrometre to 1000 km, sides not more than 100 times each other, depth from 0. Throws
/// DomainError otherwise, if a vertical plate would stand out of the soil, and for soils that ImageKernel
/// refuses.
/// Source: potential theory (moment method with even panels); derived.
[[nodiscard]] PlateResistance plate_resistance(const earth::LayeredSoil& soil, const Plate& plate);

/// Closed forms for uniform soil. Each throws DomainError unless lengths are within 1 micrometre and 1000 km,
/// and where its series does not hold. They are here to be compared with: plate_resistance() is nearer to
/// the truth.

/// rho/4 sqrt(pi/A): disc of equal area on the surface, hence high, up to twice, for a plate in the soil.
/// Source: BS 7430:2011, cl. 9.5 (from memory).
[[nodiscard]] double plate_factor_on_surface_per_m(double area_m2);

/// rho/(8 r) [1 + r/(2.5 h + r)], r = sqrt(A/pi): within 1.3 % of a horizontal disc at all depths h.
/// Source: ENA EREC S34 (from memory).
struct PlateAtDepth {
  double area_m2;
  double depth_m;
};
[[nodiscard]] double plate_factor_at_depth_per_m(const PlateAtDepth& plate);

/// Series in the radius over twice the depth, for depths from one radius: it diverges for less.
struct DiscAtDepth {
  double radius_m;
  double depth_m;
};
/// rho/8a + rho/(4 pi s) [1 - 7/12 a2/s2 + 33/40 a4/s4], s = 2 h. Source: Dwight, Trans. AIEE 55 (1936) 1319.
[[nodiscard]] double horizontal_disc_series_per_m(const DiscAtDepth& disc);
/// rho/8a + rho/(4 pi s) [1 + 7/24 a2/s2 + 99/320 a4/s4]. Source: as above.
[[nodiscard]] double vertical_disc_series_per_m(const DiscAtDepth& disc);
/// rho/8a + rho/(4 pi s) [1 - 2/3 a2/s2]: equilibrium leakage on disc and image. Source: derived.
[[nodiscard]] double equilibrium_disc_series_per_m(const DiscAtDepth& disc);

}  // namespace ohmroot::electrode
