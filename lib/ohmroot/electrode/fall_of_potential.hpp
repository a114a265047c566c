// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/nearby_metal.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <span>
#include <string>
#include <vector>

namespace ohmroot::electrode {

/// Where a fall-of-potential test is made.
struct TestLayout {
  SurfacePlace start;            ///< from which the distances of both stakes are measured
  double current_direction_deg;  // unit: degrees, towards the current stake, from x towards y
  double current_distance_m;
  double between_deg = 0.0;  // unit: degrees, from there to the line of the potential stake
};

/// Driven stake through which the test current returns.
struct CurrentStake {
  double length_m = 0.3;
  double diameter_m = 0.012;
};

/// What the tester reads with the potential stake at a distance, the stake taken as a point of the surface.
struct CurvePoint {
  double distance_m;
  double reading_ohm;
};

/// An electrode, the metal near it and a current stake, solved together: what a tester would read wherever
/// the potential stake stands.
class FallOfPotential {
public:
  /// Throws DomainError as solve_field() does, for metal in the place of the current stake, and for a
  /// distance that is not from 0.1 m to 100 km.
  FallOfPotential(const earth::LayeredSoil& soil, const Electrode& electrode,
                  const std::vector<NearbyMetal>& nearby, const TestLayout& layout,
                  const CurrentStake& stake = {});

  /// Resistance of the electrode, and of what is joined to it, in the presence of what floats: what the test
  /// should find. [ohm]
  [[nodiscard]] double resistance_ohm() const;
  /// Of that resistance, relative, by the field solution.
  [[nodiscard]] double estimate_ratio() const noexcept { return field_.estimate_ratio(); }

  /// distance_m along the line of the potential stake, not negative. [ohm] Throws DomainError otherwise.
  [[nodiscard]] double reading_ohm(double distance_m) const;

  /// One point for each distance.
  [[nodiscard]] std::vector<CurvePoint> curve(std::span<const double> distances_m) const;

  /// Distances at which the reading is the resistance, ascending: for an electrode that is small against the
  /// distance of the current stake, one at 61.8 % of it if the stakes stand in one line. Searched from the
  /// start to twice the distance of the current stake. May be empty.
  [[nodiscard]] std::vector<double> correct_distances_m() const;

private:
  FieldSolution field_;
  FieldState state_;
  TestLayout layout_;
};

/// Least distance of the current stake from which on, whatever greater one is taken, the reading with the
/// potential stake at 61.8 % of it, in one line, is within greatest_error_ratio of the resistance.
struct NeededDistance {
  double distance_m;
  double error_ratio;  ///< of the reading at that distance
};
/// greatest_error_ratio from 1e-4 to 0.5; the layout's current_distance_m and between_deg are not used.
/// Searched inwards from 100 times the electrode's extent (greatest distance of its metal from the start, and
/// depth) to 1.05 times, in steps of a quarter. Throws DomainError as FallOfPotential, and if the error is not
/// met at the farthest.
[[nodiscard]] NeededDistance needed_current_distance(const earth::LayeredSoil& soil,
                                                     const Electrode& electrode,
                                                     const std::vector<NearbyMetal>& nearby,
                                                     const TestLayout& layout, double greatest_error_ratio);

/// Closed forms for an electrode that is small against all distances, in uniform soil. x is the distance of
/// the potential stake over that of the current stake.

/// Error of the reading over r/D (hemisphere of the same resistance over distance of the current stake):
/// -(1 + 1/x - 1/(1 - x)). x in (0, 1); DomainError otherwise. Source: potential theory, derived.
[[nodiscard]] double small_electrode_error_ratio(double position_ratio);

/// Where that is 0: (sqrt(5) - 1) / 2, the 61.8 per cent rule. Source: derived.
[[nodiscard]] double small_electrode_position_ratio();

/// Angle between the lines at which the reading is right with both stakes equally far: 2 asin(1/4). [deg]
/// Source: derived (distance between the stakes half the distance of either).
[[nodiscard]] double equal_distance_angle_deg();  // unit: degrees

/// Slope coefficient of readings at 0.2, 0.4 and 0.6 of the current stake's distance:
/// (R(0.6) - R(0.4)) / (R(0.4) - R(0.2)). Of a small electrode measured from its middle: 4/7.
/// Source: Tagg, Earth Resistances (1964) (from memory).
struct SlopeReadings {
  double at_20_percent_ohm;
  double at_40_percent_ohm;
  double at_60_percent_ohm;
};
/// Throws DomainError unless the readings are finite and the first two differ.
[[nodiscard]] double slope_ratio(const SlopeReadings& readings);

/// Where the potential stake then has to stand, for an electrode that acts like a point somewhere behind the
/// start of the line. slope_ratio from 0.4 to 1.59, the range of the published table; DomainError otherwise.
/// Source: Tagg (1964) for the method (from memory); derived again.
[[nodiscard]] double slope_position_ratio(double slope_ratio);

}  // namespace ohmroot::electrode
