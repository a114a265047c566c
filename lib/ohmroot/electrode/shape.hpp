// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <variant>
#include <vector>

namespace ohmroot::electrode {

// All lengths are greater than 0 and from 1 micrometre to 1000 km; what else must hold stands at each shape.
// require_valid() checks it.

/// One vertical rod, driven from the surface. Its diameter is less than its length.
struct Rod {
  double length_m;  ///< buried length
  double diameter_m;
};

/// Equal vertical rods in one straight line, joined, at equal spacing: 2 to 4000 rods, at least three
/// diameters apart.
struct RodLine {
  Rod rod;
  int rod_count;
  double spacing_m;
};

/// Equal vertical rods round a hollow square, joined, at equal spacing; rods_per_side counts both corners,
/// so that the total is 4 (rods_per_side - 1): 2 to 1000 per side, at least three diameters apart.
struct RodSquare {
  Rod rod;
  int rods_per_side;
  double spacing_m;
};

/// Three equal vertical rods at the corners of an equilateral triangle, joined, at least three diameters
/// apart.
struct RodTriangle {
  Rod rod;
  double spacing_m;  ///< side of the triangle
};

/// Straight horizontal tape (flat strip), laid on edge or flat. Its width is at most a tenth of its length,
/// its thickness at most its width, its depth at most its length.
struct Tape {
  double length_m;
  double width_m;
  double depth_m;            ///< of its centre
  double thickness_m = 0.0;  ///< 0: not stated, taken as thin, which puts the resistance on the high side
};

/// Straight horizontal round conductor. Its diameter is at most a tenth of its length, its depth between
/// half its diameter and its length.
struct RoundConductor {
  double length_m;
  double diameter_m;
  double depth_m;  ///< of its centre
};

/// Horizontal ring of round conductor. The conductor's diameter is at most a tenth of the ring's, the depth
/// between half the conductor's diameter and the ring's diameter.
struct Ring {
  double ring_diameter_m;
  double conductor_diameter_m;
  double depth_m;  ///< of its centre
};

/// Horizontal rectangular mesh of round conductor, joined where it crosses: a buried mesh, or the steel of a foundation
/// by its footprint. Each side at least ten diameters and its meshes at least three diameters wide, 1 to 40 meshes along
/// a side; the depth from half the diameter to the shorter side.
struct MeshSide {
  double length_m;
  int mesh_count;  ///< along this side
};
struct Mesh {
  MeshSide along_x;
  MeshSide along_y;
  double depth_m;   ///< of the conductors' axes
  double radius_m;  ///< of the conductors
};

enum class PlateAttitude { horizontal, vertical };

/// A thin flat rectangle of metal, neither side more than 100 times the other. Horizontal, its depth may be 0: then it
/// lies on the surface and only its lower side leaks. Vertical, its height stands upright and its upper edge may reach the
/// surface.
struct RectangularPlate {
  double length_m;  ///< horizontal
  double width_m;   ///< horizontal, or upright if vertical
  double depth_m;   ///< of its centre
  PlateAttitude attitude;
};

using Shape =
    std::variant<Rod, RodLine, RodSquare, RodTriangle, Tape, RoundConductor, Ring, Mesh, RectangularPlate>;

/// Throws DomainError, naming the argument, unless the shape is as described above.
void require_valid(const Shape& shape);

/// "4 rods 2.4 m x 16 mm in line, 3 m apart": for people.
[[nodiscard]] std::string describe(const Shape& shape);

/// Depth of the deepest point [m] (of a tape: laid on edge), and the greatest distance in plan between two
/// points of the metal [m]. Both throw DomainError for a shape that is not valid.
[[nodiscard]] double greatest_depth_m(const Shape& shape);
[[nodiscard]] double greatest_extent_m(const Shape& shape);

/// Where a vertical rod stands, in plan.
struct RodPosition {
  double x_m;
  double y_m;
};

/// Where the rods of a group stand: the line along x from the origin, the square and the triangle with a
/// side on the x axis. Throws DomainError for a group that is not valid.
[[nodiscard]] std::vector<RodPosition> rod_positions(const RodLine& group);
[[nodiscard]] std::vector<RodPosition> rod_positions(const RodSquare& group);
[[nodiscard]] std::vector<RodPosition> rod_positions(const RodTriangle& group);

}  // namespace ohmroot::electrode
