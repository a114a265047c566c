// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/detail/pieces.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {
namespace {

constexpr Range ring_sides{36.0, 72.0};
constexpr double least_side_radii = 20.0;  // the joints of shorter sides cost more than the polygon
constexpr double polygon_shape = 0.96;     // computed: polygons of 12 to 96 sides against the torus
constexpr std::size_t greatest_conductor_count = 5000;
constexpr double least_radius_m = 1e-6;
constexpr double thickest_fill_ratio = 50.0;
constexpr int bars_of_plate = 8;
constexpr double greatest_extent_m = 1e6;

std::string name_of(const std::vector<Electrode>& electrodes, std::size_t electrode, std::size_t conductor) {
  return fmt::format("electrodes[{}].conductors[{}]", electrode, conductor) +
         (electrodes[electrode].name.empty() ? "" : " (" + electrodes[electrode].name + ")");
}

void require_place(const std::string& name, const Place& place) {
  require_within(name + ".x_m", place.x_m, "m", {-greatest_extent_m, greatest_extent_m});
  require_within(name + ".y_m", place.y_m, "m", {-greatest_extent_m, greatest_extent_m});
  require_within(name + ".depth_m", place.depth_m, "m", {0.0, greatest_extent_m});
}

double length_of(const Conductor& conductor) {
  return std::hypot(conductor.to.x_m - conductor.from.x_m, conductor.to.y_m - conductor.from.y_m,
                    conductor.to.depth_m - conductor.from.depth_m);
}

void require_conductor(const std::string& name, const Conductor& conductor) {
  require_place(name + ".from", conductor.from);
  require_place(name + ".to", conductor.to);
  require_within(name + ".radius_m", conductor.radius_m, "m", {least_radius_m, greatest_extent_m});
  const double length_m = length_of(conductor);
  if (!(length_m > 2.0 * conductor.radius_m))
    throw DomainError(name, length_m, "m", "a length greater than its diameter");
  if (conductor.core) {
    const double radius_m = conductor.radius_m;
    require_within(name + ".core.radius_m", conductor.core->radius_m, "m",
                   {radius_m / thickest_fill_ratio, radius_m});
    require_within(name + ".core.fill_resistivity_ohm_m", conductor.core->fill_resistivity_ohm_m, "ohm m",
                   {0.01, 1e6});
    if (conductor.coating == Coating::insulated)
      throw DomainError(name + ".coating", "insulated", "bare: a fill carries current where the bar does");
  }
  // An end may be flush with the surface, a side may not stick out of it.
  const double sine =
      std::sqrt(1.0 - std::pow((conductor.to.depth_m - conductor.from.depth_m) / length_m, 2.0));
  const double side_m = conductor.radius_m * sine;
  const double middle_m = (conductor.from.depth_m + conductor.to.depth_m) / 2.0;
  if (middle_m < side_m)
    throw DomainError(name + ".depth_m", middle_m, "m", "a bar wholly below the surface of the soil");
}

bool is_nearly_parallel(const Conductor& first, const Conductor& second) {
  const double x = (first.to.x_m - first.from.x_m) * (second.to.x_m - second.from.x_m);
  const double y = (first.to.y_m - first.from.y_m) * (second.to.y_m - second.from.y_m);
  const double z = (first.to.depth_m - first.from.depth_m) * (second.to.depth_m - second.from.depth_m);
  return std::abs(x + y + z) > 0.99 * length_of(first) * length_of(second);
}

/// Away from both ends by more than their reach.
bool is_inside(double along_m, const Conductor& conductor, double reach_m) {
  return along_m > reach_m && along_m < length_of(conductor) - reach_m;
}

struct Member {
  const Conductor* conductor;
  std::size_t electrode;
  std::size_t index;
};

void require_apart(const std::vector<Electrode>& electrodes, const Member& a, const Member& b) {
  const double reach_m = a.conductor->radius_m + b.conductor->radius_m;
  const auto approach = detail::closest_approach(*a.conductor, *b.conductor);
  if (approach.distance_m >= reach_m) return;
  const std::string first = name_of(electrodes, a.electrode, a.index);
  const std::string second = name_of(electrodes, b.electrode, b.index);
  const bool both_bare = a.conductor->coating == Coating::bare && b.conductor->coating == Coating::bare;
  if (a.electrode != b.electrode && both_bare)
    throw DomainError(first, "touching " + second,
                      "apart from other electrodes, since electrodes that touch are one");
  const bool do_cross = is_inside(approach.along_first_m, *a.conductor, reach_m) &&
                        is_inside(approach.along_second_m, *b.conductor, reach_m);
  if (do_cross && both_bare && !is_nearly_parallel(*a.conductor, *b.conductor) &&
      electrodes[a.electrode].crossings == Crossings::refused)
    throw DomainError(
        first, "crossing " + second,
        "apart from it, or joined to it: ends in one place, or crossings of the electrode declared joined");
  if (is_nearly_parallel(*a.conductor, *b.conductor) &&
      detail::overlap_m(*a.conductor, *b.conductor) > 2.0 * reach_m)
    throw DomainError(first, "lying in " + second, "beside or behind other conductors");
}

}  // namespace

double fill_resistance_ohm_m(double radius_m, const std::optional<Core>& core) {
  return core ? core->fill_resistivity_ohm_m * std::log(radius_m / core->radius_m) / (2.0 * std::numbers::pi)
              : 0.0;
}

double equivalent_radius_of_tape_m(double width_m) {
  require_positive("width_m", width_m, "m");
  return width_m / 4.0;
}

std::vector<Conductor> ring_of(const Ring& ring, const RingPlace& centre) {
  require_valid(Shape{ring});
  const double wanted =
      std::numbers::pi * ring.ring_diameter_m / (least_side_radii * ring.conductor_diameter_m / 2.0);
  const int sides = static_cast<int>(std::clamp(wanted, ring_sides.least, ring_sides.greatest));
  const double side = std::numbers::pi / sides;
  // Equal circumference, and a little more for what the shape constant of a polygon is above a circle's.
  const double logarithm = std::log(4.0 * ring.ring_diameter_m / (ring.conductor_diameter_m / 2.0));
  const double larger = side / std::sin(side) * (1.0 + polygon_shape * side * side / logarithm);
  const double corner_m = ring.ring_diameter_m / 2.0 * larger;
  const auto corner = [&](int i) {
    const double angle = 2.0 * side * (i % sides);
    return Place{centre.x_m + corner_m * std::cos(angle), centre.y_m + corner_m * std::sin(angle),
                 ring.depth_m};
  };
  std::vector<Conductor> result;
  for (int i = 0; i < sides; ++i)
    result.push_back({corner(i), corner(i + 1), ring.conductor_diameter_m / 2.0});
  return result;
}

std::vector<Conductor> mesh_of(const Mesh& mesh) {
  for (const MeshSide& side : {mesh.along_x, mesh.along_y}) {
    require_positive("mesh.length_m", side.length_m, "m");
    require_within("mesh.mesh_count", side.mesh_count, "1", {1.0, 1000.0});
  }
  std::vector<Conductor> result;
  for (int i = 0; i <= mesh.along_y.mesh_count; ++i) {
    const double y_m = mesh.along_y.length_m * i / mesh.along_y.mesh_count;
    result.push_back({{0.0, y_m, mesh.depth_m}, {mesh.along_x.length_m, y_m, mesh.depth_m}, mesh.radius_m});
  }
  for (int i = 0; i <= mesh.along_x.mesh_count; ++i) {
    const double x_m = mesh.along_x.length_m * i / mesh.along_x.mesh_count;
    result.push_back({{x_m, 0.0, mesh.depth_m}, {x_m, mesh.along_y.length_m, mesh.depth_m}, mesh.radius_m});
  }
  return result;
}

namespace {

struct ConductorsOf {
  std::vector<Conductor> operator()(const Rod& rod) const { return rods(rod, {{0.0, 0.0}}); }
  std::vector<Conductor> operator()(const RodLine& group) const {
    return rods(group.rod, rod_positions(group));
  }
  std::vector<Conductor> operator()(const RodSquare& group) const {
    return rods(group.rod, rod_positions(group));
  }
  std::vector<Conductor> operator()(const RodTriangle& group) const {
    return rods(group.rod, rod_positions(group));
  }
  std::vector<Conductor> operator()(const Tape& tape) const {
    return lying(tape.length_m, tape.depth_m, equivalent_radius_of_tape_m(tape.width_m));
  }
  std::vector<Conductor> operator()(const RoundConductor& bar) const {
    return lying(bar.length_m, bar.depth_m, bar.diameter_m / 2.0);
  }
  std::vector<Conductor> operator()(const Ring& ring) const { return ring_of(ring, {0.0, 0.0}); }
  /// From joint to joint, so that bars meet at their ends and nobody has to declare them joined.
  std::vector<Conductor> operator()(const Mesh& mesh) const {
    const auto [x, y] = std::pair{mesh.along_x, mesh.along_y};
    const auto joint = [&](int i, int j) {
      return Place{x.length_m * i / x.mesh_count, y.length_m * j / y.mesh_count, mesh.depth_m};
    };
    std::vector<Conductor> result;
    for (int j = 0; j <= y.mesh_count; ++j)
      for (int i = 0; i < x.mesh_count; ++i)
        result.push_back({joint(i, j), joint(i + 1, j), mesh.radius_m});
    for (int i = 0; i <= x.mesh_count; ++i)
      for (int j = 0; j < y.mesh_count; ++j)
        result.push_back({joint(i, j), joint(i, j + 1), mesh.radius_m});
    return result;
  }

  /// Bars along its length at the roots of a Chebyshev polynomial across its width.
  std::vector<Conductor> operator()(const RectangularPlate& plate) const {
    std::vector<Conductor> bars;
    for (int i = 0; i < bars_of_plate; ++i) {
      const double angle = (i + 0.5) * std::numbers::pi / bars_of_plate;
      const double off_m = 0.5 * plate.width_m * std::cos(angle);
      const bool is_upright = plate.attitude == PlateAttitude::vertical;
      const double y_m = is_upright ? 0.0 : off_m;
      const double depth_m = is_upright ? plate.depth_m + off_m : plate.depth_m;
      bars.push_back({{0.0, y_m, depth_m},
                      {plate.length_m, y_m, depth_m},
                      plate.width_m * std::sin(angle) / (4.0 * bars_of_plate)});
    }
    return bars;
  }

  static std::vector<Conductor> rods(const Rod& rod, const std::vector<RodPosition>& positions) {
    std::vector<Conductor> result;
    for (const auto& [x_m, y_m] : positions)
      result.push_back({{x_m, y_m, 0.0}, {x_m, y_m, rod.length_m}, rod.diameter_m / 2.0});
    return result;
  }
  static std::vector<Conductor> lying(double length_m, double depth_m, double radius_m) {
    return {{{0.0, 0.0, depth_m}, {length_m, 0.0, depth_m}, radius_m}};
  }
};

}  // namespace

std::vector<Conductor> conductors_of(const Shape& shape) {
  require_valid(shape);
  return std::visit(ConductorsOf{}, shape);
}

void require_valid(const std::vector<Electrode>& electrodes) {
  if (electrodes.empty()) throw DomainError("electrodes", "none", "at least one electrode");
  std::vector<Member> members;
  for (std::size_t e = 0; e < electrodes.size(); ++e) {
    bool has_metal = false;
    for (std::size_t c = 0; c < electrodes[e].conductors.size(); ++c) {
      const Conductor& conductor = electrodes[e].conductors[c];
      require_conductor(name_of(electrodes, e, c), conductor);
      has_metal = has_metal || conductor.coating == Coating::bare;
      members.push_back({&conductor, e, c});
    }
    if (!has_metal) throw DomainError(fmt::format("electrodes[{}]", e), "no bare conductor", "at least one");
  }
  if (members.size() > greatest_conductor_count)
    throw DomainError("electrodes", fmt::format("{} conductors", members.size()),
                      fmt::format("at most {}", greatest_conductor_count));
  for (std::size_t i = 0; i < members.size(); ++i)
    for (std::size_t j = i + 1; j < members.size(); ++j)
      require_apart(electrodes, members[i], members[j]);
}

}  // namespace ohmroot::electrode
