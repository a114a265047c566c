// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/field_solution.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::electrode {

/// One electrode carries the current, all others are connected to nothing. At 1 A, volts are ohms: volts per
/// ampere, to be multiplied by whatever current flows. Throws DomainError for an electrode that is not there
/// or a current that is not finite.
struct Energised {
  std::size_t electrode;
  double current_a = 1.0;
};
[[nodiscard]] FieldState state_of(const FieldSolution& field, const Energised& energised);

/// Points of the surface on a rectangular grid, corners included: 2 to 4000 each way.
struct MapGrid {
  double x_from_m;
  double x_to_m;  ///< greater
  double y_from_m;
  double y_to_m;  ///< greater
  int x_count;
  int y_count;
};

/// Potentials of the surface to remote earth; on metal that of the metal.
struct SurfaceMap {
  MapGrid grid;
  std::vector<double> potentials_v;  ///< rows of equal y, from y_from_m upwards, each from x_from_m upwards

  [[nodiscard]] double x_m(int column) const;
  [[nodiscard]] double y_m(int row) const;
  [[nodiscard]] double potential_v(int column, int row) const;
};

/// Throws DomainError unless the grid is as described.
[[nodiscard]] SurfaceMap surface_map(const FieldSolution& field, const FieldState& state,
                                     const MapGrid& grid);

/// A place on the surface.
struct SurfacePlace {
  double x_m;
  double y_m;
};

/// Potential of the electrode, and of all that is joined to it, less that of the surface under the feet. [V]
/// Nothing is taken off for the body's and the feet's own resistance: it is the prospective touch voltage of
/// BS EN 50522 (definition, from memory).
[[nodiscard]] double touch_voltage_v(const FieldSolution& field, const FieldState& state,
                                     std::size_t electrode, const SurfacePlace& feet);

/// Outline of something that is joined to the electrode and can be touched: a vehicle, a cabinet. Sides may
/// be 0: a post, a wall.
struct Outline {
  SurfacePlace centre;
  double length_m;
  double width_m;
  double direction_deg = 0.0;  // unit: degrees, of the length, from x towards y
};

struct TouchPlace {
  SurfacePlace feet;
  double touch_v;
};

/// Where on the line at arm's length from the outline (its corners rounded) the touch voltage is greatest, by
/// magnitude, and how much: sampled every twentieth of the reach or closer, then narrowed around the best
/// sample. reach_m from 0.01 to 100; 1 m is the usual distance of the feet (BS EN 50522, from memory).
[[nodiscard]] TouchPlace worst_touch(const FieldSolution& field, const FieldState& state,
                                     std::size_t electrode, const Outline& outline, double reach_m = 1.0);

/// Greatest difference of the surface's potential over a step centred at the place, over all directions, and
/// the direction in which the potential falls. step_m from 0.01 to 100.
struct StepVoltage {
  double step_v;
  double direction_deg;  // unit: degrees, from x towards y
};
[[nodiscard]] StepVoltage step_voltage(const FieldSolution& field, const FieldState& state,
                                       const SurfacePlace& place, double step_m = 1.0);

}  // namespace ohmroot::electrode
