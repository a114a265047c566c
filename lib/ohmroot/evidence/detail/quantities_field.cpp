// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>

#include <cmath>
#include <numbers>

namespace ohmroot::evidence::detail {

namespace {

using electrode::Conductor;

double solved_ohm(const earth::LayeredSoil& soil, std::vector<Conductor> bars) {
  constexpr double tolerance_ratio = 2e-4;
  return electrode::solve_field(soil, {{"bars", std::move(bars), electrode::Crossings::joined}},
                                {tolerance_ratio})
      .resistance_ohm(0, 0);
}

earth::LayeredSoil uniform_in(const Given& given) {
  return earth::LayeredSoil(given.number("soil_resistivity_ohm_m"));
}

Conductor rod_in(const Given& given, double top_m) {
  return {{0.0, 0.0, top_m}, {0.0, 0.0, top_m + given.number("length_m")}, given.number("diameter_m") / 2.0};
}

/// Arms at equal angles from one centre; two arms stand at a right angle, as in the tables of such electrodes.
std::vector<Conductor> star_in(const Given& given) {
  const int arm_count = given.count("arm_count");
  const double length_m = given.number("arm_length_m");
  const double depth_m = given.number("depth_m");
  std::vector<Conductor> arms;
  for (int i = 0; i < arm_count; ++i) {
    const double turn = arm_count == 2 ? 0.25 * i : static_cast<double>(i) / arm_count;
    const double angle = 2.0 * std::numbers::pi * turn;
    arms.push_back({{0.0, 0.0, depth_m},
                    {length_m * std::cos(angle), length_m * std::sin(angle), depth_m},
                    given.number("diameter_m") / 2.0});
  }
  return arms;
}

/// Rods hang from nodes of the edge, equally many nodes apart, the first from a corner.
std::vector<Conductor> mesh_in(const Given& given) {
  const electrode::MeshSide along{given.number("length_m"), given.count("meshes_along")};
  const electrode::MeshSide across{given.number("width_m"), given.count("meshes_across")};
  const double depth_m = given.number("depth_m");
  std::vector<Conductor> bars =
      electrode::mesh_of({along, across, depth_m, given.number("diameter_m") / 2.0});
  if (!given.has("rod_count")) return bars;
  const int node_count = 2 * (along.mesh_count + across.mesh_count);
  const int rod_count = given.count("rod_count");
  if (rod_count < 1 || node_count % rod_count != 0)
    throw NotComputable("rods do not stand equally many nodes apart on the edge");
  for (int node = 0; node < node_count; node += node_count / rod_count) {
    const int half = along.mesh_count + across.mesh_count;
    const int on_half = node % half;
    double x_m = along.length_m * std::min(on_half, along.mesh_count) / along.mesh_count;
    double y_m = across.length_m * std::max(0, on_half - along.mesh_count) / across.mesh_count;
    if (node >= half) {
      x_m = along.length_m - x_m;
      y_m = across.length_m - y_m;
    }
    bars.push_back({{x_m, y_m, depth_m},
                    {x_m, y_m, depth_m + given.number("rod_length_m")},
                    given.number("rod_diameter_m") / 2.0});
  }
  return bars;
}

}  // namespace

std::vector<Quantity> field_quantities() {
  return {
      {"electrode.layered_rod.resistance_ohm", "ohm", "length_m, diameter_m, layers", Comparison::equal,
       [](const Given& given) -> text::Value { return solved_ohm(soil_in(given), {rod_in(given, 0.0)}); }},
      {"electrode.buried_rod.resistance_ohm", "ohm",
       "soil_resistivity_ohm_m, length_m, diameter_m, top_depth_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return solved_ohm(uniform_in(given), {rod_in(given, given.number("top_depth_m"))});
       }},
      {"electrode.star.truth_ohm", "ohm",
       "soil_resistivity_ohm_m, arm_count, arm_length_m, diameter_m, depth_m", Comparison::equal,
       [](const Given& given) -> text::Value { return solved_ohm(uniform_in(given), star_in(given)); }},
      {"electrode.mesh.resistance_ohm", "ohm",
       "soil_resistivity_ohm_m, length_m, width_m, meshes_along, meshes_across, depth_m, diameter_m, "
       "rod_count?, "
       "rod_length_m?, rod_diameter_m?",
       Comparison::equal,
       [](const Given& given) -> text::Value { return solved_ohm(uniform_in(given), mesh_in(given)); }},
  };
}

}  // namespace ohmroot::evidence::detail
