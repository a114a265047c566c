// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/surface_map.hpp>
#include <ohmroot/study/detail/surroundings.hpp>

#include <algorithm>
#include <array>
#include <limits>

namespace ohmroot::study::detail {
namespace {

struct Extent {
  double least_m = std::numeric_limits<double>::infinity();
  double greatest_m = -std::numeric_limits<double>::infinity();
  void take(double value_m) {
    least_m = std::min(least_m, value_m);
    greatest_m = std::max(greatest_m, value_m);
  }
  [[nodiscard]] double middle_m() const { return 0.5 * (least_m + greatest_m); }
  [[nodiscard]] double half_m() const { return 0.5 * (greatest_m - least_m); }
};

constexpr int map_count = 81;
constexpr int section_count = 61;
constexpr std::array beyond_m{0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0};

}  // namespace

Surroundings surroundings_of(const electrode::Shape& shape, const earth::LayeredSoil& soil) {
  const std::vector<electrode::Electrode> metal{{"electrode", electrode::conductors_of(shape)}};
  Extent x;
  Extent y;
  Extent depth;
  Surroundings result;
  for (const electrode::Conductor& bar : metal.front().conductors) {
    for (const electrode::Place& end : {bar.from, bar.to}) {
      x.take(end.x_m);
      y.take(end.y_m);
      depth.take(end.depth_m);
    }
    result.conductors.push_back(
        {bar.from.x_m, bar.from.y_m, bar.from.depth_m, bar.to.x_m, bar.to.y_m, bar.to.depth_m});
  }
  // As wide as the potential needs to fall to about a quarter: the extent and twice the depth on every side.
  const double margin_m = 2.0 * std::max({depth.greatest_m, 0.5 * x.half_m(), 1.0});
  const double half_m = std::max(x.half_m(), y.half_m()) + margin_m;
  const double deepest_m = depth.greatest_m + margin_m;
  const electrode::FieldSolution field = electrode::solve_field(
      soil, metal, {.greatest_place_depth_m = deepest_m, .place_tolerance_ratio = 1e-3});
  const std::array<electrode::Duty, 1> one_volt{{{electrode::DutyKind::potential, 1.0}}};
  const electrode::FieldState state = field.state(one_volt);
  const electrode::SurfaceMap map =
      electrode::surface_map(field, state,
                             {x.middle_m() - half_m, x.middle_m() + half_m, y.middle_m() - half_m,
                              y.middle_m() + half_m, map_count, map_count});
  result.map = {map.grid.x_from_m, map.grid.x_to_m, map.grid.y_from_m, map.grid.y_to_m,
                map_count,         map_count,       map.potentials_v};

  std::vector<electrode::Place> places;
  const double plane_m = metal.front().conductors.front().from.y_m;
  for (int row = 0; row < section_count; ++row)
    for (int column = 0; column < section_count; ++column)
      places.push_back({x.middle_m() - half_m + 2.0 * half_m * column / (section_count - 1), plane_m,
                        deepest_m * row / (section_count - 1)});
  result.section = {x.middle_m() - half_m,
                    x.middle_m() + half_m,
                    0.0,
                    deepest_m,
                    section_count,
                    section_count,
                    field.potentials_v(state, places)};
  result.section_at_y_m = plane_m;

  std::vector<electrode::Place> line;
  for (const double distance_m : beyond_m) {
    result.distance_m.push_back(distance_m);
    line.push_back({x.greatest_m + distance_m, y.middle_m(), 0.0});
  }
  result.surface_share_ratio = field.potentials_v(state, line);
  return result;
}

ShareGrid surface_shares(const electrode::Electrode& metal, const earth::LayeredSoil& soil,
                         const PlanWindow& window) {
  const electrode::FieldSolution field =
      electrode::solve_field(soil, {metal}, {.place_tolerance_ratio = 1e-3});
  const std::array<electrode::Duty, 1> one_volt{{{electrode::DutyKind::potential, 1.0}}};
  const electrode::SurfaceMap map = electrode::surface_map(
      field, field.state(one_volt),
      {window.x_from_m, window.x_to_m, window.y_from_m, window.y_to_m, map_count, map_count});
  return {window.x_from_m, window.x_to_m, window.y_from_m, window.y_to_m,
          map_count,       map_count,     map.potentials_v};
}

}  // namespace ohmroot::study::detail
