// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace ohmroot::electrode {

namespace {

using detail::require_length;

void check(const Rod& rod) {
  require_length("length_m", rod.length_m);
  require_length("diameter_m", rod.diameter_m);
  if (rod.diameter_m >= rod.length_m) {
    throw DomainError("diameter_m", rod.diameter_m, "m", "less than the length of the rod");
  }
}

void check_spacing(const Rod& rod, double spacing_m) {
  check(rod);
  require_length("spacing_m", spacing_m);
  if (spacing_m < 3.0 * rod.diameter_m) {
    throw DomainError("spacing_m", spacing_m, "m", "at least three rod diameters");
  }
}

void check(const RodLine& group) {
  check_spacing(group.rod, group.spacing_m);
  require_within("rod_count", group.rod_count, "", {2, detail::most_rods});
}

void check(const RodSquare& group) {
  check_spacing(group.rod, group.spacing_m);
  require_within("rods_per_side", group.rods_per_side, "", {2, detail::most_rods_per_side});
}

void check(const RodTriangle& group) {
  check_spacing(group.rod, group.spacing_m);
}

void check_lying(std::string_view argument, double thickest_m, double length_m, double depth_m) {
  require_length("length_m", length_m);
  require_length(argument, thickest_m);
  require_length("depth_m", depth_m);
  if (thickest_m > length_m / 10.0) {
    throw DomainError(argument, thickest_m, "m", "at most a tenth of the length");
  }
  if (depth_m > length_m) throw DomainError("depth_m", depth_m, "m", "at most the length of the conductor");
}

void check(const Tape& tape) {
  check_lying("width_m", tape.width_m, tape.length_m, tape.depth_m);
  require_not_negative("thickness_m", tape.thickness_m, "m");
  if (tape.thickness_m > tape.width_m) {
    throw DomainError("thickness_m", tape.thickness_m, "m", "at most the width of the tape");
  }
}

void check_is_in_soil(double depth_m, double diameter_m) {
  if (depth_m < diameter_m / 2.0) {
    throw DomainError("depth_m", depth_m, "m",
                      "at least half the diameter, so that the conductor is in soil");
  }
}

void check(const RoundConductor& conductor) {
  check_lying("diameter_m", conductor.diameter_m, conductor.length_m, conductor.depth_m);
  check_is_in_soil(conductor.depth_m, conductor.diameter_m);
}

void check(const Ring& ring) {
  require_length("ring_diameter_m", ring.ring_diameter_m);
  require_length("conductor_diameter_m", ring.conductor_diameter_m);
  require_length("depth_m", ring.depth_m);
  if (ring.conductor_diameter_m > ring.ring_diameter_m / 10.0) {
    throw DomainError("conductor_diameter_m", ring.conductor_diameter_m, "m",
                      "at most a tenth of the ring's diameter");
  }
  if (ring.depth_m > ring.ring_diameter_m) {
    throw DomainError("depth_m", ring.depth_m, "m", "at most the diameter of the ring");
  }
  check_is_in_soil(ring.depth_m, ring.conductor_diameter_m);
}

void check(const Mesh& mesh) {
  require_length("radius_m", mesh.radius_m);
  require_length("depth_m", mesh.depth_m);
  const double diameter_m = 2.0 * mesh.radius_m;
  for (const auto& [name, side] : {std::pair{"along_x", mesh.along_x}, std::pair{"along_y", mesh.along_y}}) {
    const std::string prefix(name);
    require_length(prefix + ".length_m", side.length_m);
    require_within(prefix + ".mesh_count", side.mesh_count, "1", {1, detail::most_meshes_per_side});
    if (side.length_m < 10.0 * diameter_m || side.length_m / side.mesh_count < 3.0 * diameter_m)
      throw DomainError(prefix + ".length_m", side.length_m, "m",
                        "at least ten diameters, and three for each mesh");
  }
  if (mesh.depth_m > std::min(mesh.along_x.length_m, mesh.along_y.length_m))
    throw DomainError("depth_m", mesh.depth_m, "m", "at most the shorter side of the mesh");
  check_is_in_soil(mesh.depth_m, diameter_m);
}

void check(const RectangularPlate& plate) {
  require_length("length_m", plate.length_m);
  require_length("width_m", plate.width_m);
  require_not_negative("depth_m", plate.depth_m, "m");
  require_within("depth_m", plate.depth_m, "m", {0.0, detail::length_limits_m.greatest});
  constexpr double greatest_ratio = 100.0;
  const auto [least, greatest] = std::minmax(plate.length_m, plate.width_m);
  if (greatest > greatest_ratio * least)
    throw DomainError("longer over shorter side", greatest / least, "1",
                      "at most 100: a tape is a conductor, not a plate");
  if (plate.attitude == PlateAttitude::vertical && plate.depth_m < plate.width_m / 2.0)
    throw DomainError("depth_m", plate.depth_m, "m", "at least half the height of the upright plate");
}

/// As a person would write it: "2.4 m", "16 mm".
std::string length_text(double value_m) {
  return value_m < 0.1 ? fmt::format("{:.6g} mm", value_m * 1e3) : fmt::format("{:.6g} m", value_m);
}

std::string text(const Rod& rod) {
  return fmt::format("{} x {}", length_text(rod.length_m), length_text(rod.diameter_m));
}

struct Describer {
  std::string operator()(const Rod& rod) const { return "rod " + text(rod); }
  std::string operator()(const RodLine& group) const {
    return fmt::format("{} rods {} in line, {} apart", group.rod_count, text(group.rod),
                       length_text(group.spacing_m));
  }
  std::string operator()(const RodSquare& group) const {
    return fmt::format("{} rods {} round a hollow square, {} on each side, {} apart",
                       4LL * (group.rods_per_side - 1LL), text(group.rod), group.rods_per_side,
                       length_text(group.spacing_m));
  }
  std::string operator()(const RodTriangle& group) const {
    return fmt::format("3 rods {} in a triangle, {} apart", text(group.rod), length_text(group.spacing_m));
  }
  std::string operator()(const Tape& tape) const {
    const std::string thickness = tape.thickness_m > 0.0 ? " x " + length_text(tape.thickness_m) : "";
    return fmt::format("tape {} long, {}{}, {} deep", length_text(tape.length_m), length_text(tape.width_m),
                       thickness, length_text(tape.depth_m));
  }
  std::string operator()(const RoundConductor& conductor) const {
    return fmt::format("round conductor {} long, {} in diameter, {} deep", length_text(conductor.length_m),
                       length_text(conductor.diameter_m), length_text(conductor.depth_m));
  }
  std::string operator()(const Ring& ring) const {
    return fmt::format("ring {} across of {} round conductor, {} deep", length_text(ring.ring_diameter_m),
                       length_text(ring.conductor_diameter_m), length_text(ring.depth_m));
  }
  std::string operator()(const Mesh& mesh) const {
    return fmt::format("mesh {} x {} of {} x {} meshes, round conductor {}, {} deep",
                       length_text(mesh.along_x.length_m), length_text(mesh.along_y.length_m),
                       mesh.along_x.mesh_count, mesh.along_y.mesh_count, length_text(2.0 * mesh.radius_m),
                       length_text(mesh.depth_m));
  }
  std::string operator()(const RectangularPlate& plate) const {
    return fmt::format(
        "plate {} x {}, {}, its centre {} deep", length_text(plate.length_m), length_text(plate.width_m),
        plate.attitude == PlateAttitude::vertical ? "upright" : "lying", length_text(plate.depth_m));
  }
};

struct Deepest {
  double operator()(const Rod& rod) const { return rod.length_m; }
  double operator()(const RodLine& group) const { return group.rod.length_m; }
  double operator()(const RodSquare& group) const { return group.rod.length_m; }
  double operator()(const RodTriangle& group) const { return group.rod.length_m; }
  double operator()(const Tape& tape) const { return tape.depth_m + tape.width_m / 2.0; }
  double operator()(const RoundConductor& conductor) const {
    return conductor.depth_m + conductor.diameter_m / 2.0;
  }
  double operator()(const Ring& ring) const { return ring.depth_m + ring.conductor_diameter_m / 2.0; }
  double operator()(const Mesh& mesh) const { return mesh.depth_m + mesh.radius_m; }
  double operator()(const RectangularPlate& plate) const {
    return plate.attitude == PlateAttitude::vertical ? plate.depth_m + plate.width_m / 2.0 : plate.depth_m;
  }
};

struct Extent {
  double operator()(const Rod& rod) const { return rod.diameter_m; }
  double operator()(const RodLine& group) const {
    return (group.rod_count - 1) * group.spacing_m + group.rod.diameter_m;
  }
  double operator()(const RodSquare& group) const {
    return std::numbers::sqrt2 * (group.rods_per_side - 1) * group.spacing_m + group.rod.diameter_m;
  }
  double operator()(const RodTriangle& group) const { return group.spacing_m + group.rod.diameter_m; }
  double operator()(const Tape& tape) const { return std::hypot(tape.length_m, tape.width_m); }
  double operator()(const RoundConductor& conductor) const {
    return std::hypot(conductor.length_m, conductor.diameter_m);
  }
  double operator()(const Ring& ring) const { return ring.ring_diameter_m + ring.conductor_diameter_m; }
  double operator()(const Mesh& mesh) const {
    return std::hypot(mesh.along_x.length_m, mesh.along_y.length_m) + 2.0 * mesh.radius_m;
  }
  double operator()(const RectangularPlate& plate) const {
    return plate.attitude == PlateAttitude::vertical ? plate.length_m
                                                     : std::hypot(plate.length_m, plate.width_m);
  }
};

}  // namespace

void require_valid(const Shape& shape) {
  std::visit([](const auto& one) { check(one); }, shape);
}

std::string describe(const Shape& shape) {
  return std::visit(Describer{}, shape);
}

double greatest_depth_m(const Shape& shape) {
  require_valid(shape);
  return std::visit(Deepest{}, shape);
}

double greatest_extent_m(const Shape& shape) {
  require_valid(shape);
  return std::visit(Extent{}, shape);
}

std::vector<RodPosition> rod_positions(const RodLine& group) {
  check(group);
  std::vector<RodPosition> positions;
  for (int k = 0; k < group.rod_count; ++k)
    positions.push_back({k * group.spacing_m, 0.0});
  return positions;
}

std::vector<RodPosition> rod_positions(const RodSquare& group) {
  check(group);
  const double side_m = (group.rods_per_side - 1) * group.spacing_m;
  std::vector<RodPosition> positions;
  for (int k = 0; k + 1 < group.rods_per_side; ++k) {  // each side owns the corner it starts from
    const double along_m = k * group.spacing_m;
    positions.push_back({along_m, 0.0});
    positions.push_back({side_m, along_m});
    positions.push_back({side_m - along_m, side_m});
    positions.push_back({0.0, side_m - along_m});
  }
  return positions;
}

std::vector<RodPosition> rod_positions(const RodTriangle& group) {
  check(group);
  const double s_m = group.spacing_m;
  return {{0.0, 0.0}, {s_m, 0.0}, {s_m / 2.0, s_m * std::numbers::sqrt3 / 2.0}};
}

}  // namespace ohmroot::electrode
