// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <variant>

namespace ohmroot::electrode {

/// One vertical rod, driven from the surface.
struct Rod {
  double length_m;    ///< buried length
  double diameter_m;
};

/// Equal vertical rods in one straight line, joined, at equal spacing.
struct RodLine {
  Rod rod;
  int rod_count;
  double spacing_m;
};

/// Equal vertical rods round a hollow square, joined, at equal spacing; rods_per_side counts both corners,
/// so that the total is 4 (rods_per_side - 1).
struct RodSquare {
  Rod rod;
  int rods_per_side;
  double spacing_m;
};

/// Three equal vertical rods at the corners of an equilateral triangle, joined.
struct RodTriangle {
  Rod rod;
  double spacing_m;  ///< side of the triangle
};

/// Straight horizontal tape (flat strip), laid on edge or flat.
struct Tape {
  double length_m;
  double width_m;
  double depth_m;  ///< of its centre
};

/// Straight horizontal round conductor.
struct RoundConductor {
  double length_m;
  double diameter_m;
  double depth_m;  ///< of its centre
};

/// Horizontal ring of round conductor.
struct Ring {
  double ring_diameter_m;
  double conductor_diameter_m;
  double depth_m;  ///< of its centre
};

using Shape = std::variant<Rod, RodLine, RodSquare, RodTriangle, Tape, RoundConductor, Ring>;

/// "4 rods 2.4 m x 16 mm in line, 3 m apart": for people.
[[nodiscard]] std::string describe(const Shape& shape);

/// Depth of the deepest point [m] and greatest horizontal extent [m] of the metal.
[[nodiscard]] double greatest_depth_m(const Shape& shape);
[[nodiscard]] double greatest_extent_m(const Shape& shape);

}  // namespace ohmroot::electrode
