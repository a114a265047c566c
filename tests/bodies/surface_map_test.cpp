// SPDX-License-Identifier: MIT
#include "arrangements.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();
const Conductor rod{{0.0, 0.0, 0.0}, {0.0, 0.0, 2.4}, 0.008};

LayeredSoil three_layers() {
  return LayeredSoil({{300.0, 0.7}, {60.0, 2.0}, {600.0, inf}});
}

FieldSolution mesh_field(const LayeredSoil& soil) {
  return solve_field(soil, {{"mesh", mesh_of({{9.0, 3}, {9.0, 3}, 0.5, 0.005}), Crossings::joined}}, {2e-3});
}

}  // namespace

TEST_CASE("surface potential 1 m from a rod") {
  // 10.421109 V/A: computed for this project by axisymmetric boundary elements; not published
  const FieldSolution field = solve_field(LayeredSoil(100.0), {{"rod", {rod}}});
  const FieldState state = state_of(field, {0});
  const double touch_v = touch_voltage_v(field, state, 0, {1.0, 0.0});
  CHECK(state.potentials_v[0] - touch_v == Approx(10.421109).epsilon(2e-3));
  // a rod is the same all round: any place on the walk round a post, any direction
  const TouchPlace worst = worst_touch(field, state, 0, {{0.0, 0.0}, 0.0, 0.0});
  CHECK(worst.touch_v == Approx(touch_v).epsilon(1e-9));
  CHECK(std::hypot(worst.feet.x_m, worst.feet.y_m) == Approx(1.0));
  const StepVoltage step = step_voltage(field, state, {1.5, 1.5});
  CHECK(step.direction_deg == Approx(45.0).margin(0.01));
}

TEST_CASE("voltages grow in proportion to the current") {
  const FieldSolution field = mesh_field(three_layers());
  const Outline car{{14.0, 4.0}, 4.5, 1.8, 30.0};
  const TouchPlace one = worst_touch(field, state_of(field, {0}), 0, car);
  const TouchPlace many = worst_touch(field, state_of(field, {0, 37.0}), 0, car);
  CHECK(many.touch_v == Approx(37.0 * one.touch_v).epsilon(1e-9));
}

TEST_CASE("the worst place round a vehicle is the one farthest from the electrode, an arm's length away") {
  const FieldSolution field = solve_field(LayeredSoil(100.0), {{"rod", {rod}}});
  const FieldState state = state_of(field, {0});
  // the car stands along x, its middle 5 m from the rod: the farthest point of the walk is on a far corner's
  // arc, in line with the rod and that corner
  const TouchPlace worst = worst_touch(field, state, 0, {{5.0, 0.0}, 4.0, 1.8});
  const double corner_m = std::hypot(7.0, 0.9);
  CHECK(std::hypot(worst.feet.x_m, worst.feet.y_m) == Approx(corner_m + 1.0).epsilon(1e-6));
  CHECK(worst.touch_v == Approx(touch_voltage_v(field, state, 0, {corner_m + 1.0, 0.0})).epsilon(1e-6));
}

TEST_CASE("touch voltage tends to nothing on the conductor and to the whole voltage far away") {
  for (const LayeredSoil& soil : {LayeredSoil(100.0), three_layers()}) {
    const FieldSolution field = solve_field(soil, {{"rod", {rod}}});
    const FieldState state = state_of(field, {0});
    const double whole_v = state.potentials_v[0];
    CHECK(touch_voltage_v(field, state, 0, {0.0, 0.0}) == 0.0);
    CHECK(touch_voltage_v(field, state, 0, {0.0081, 0.0}) == Approx(0.0).margin(0.01 * whole_v));
    double before_v = 0.0;
    for (const double x : {0.02, 0.1, 0.5, 2.0, 10.0, 100.0}) {
      const double touch_v = touch_voltage_v(field, state, 0, {x, 0.0});
      CHECK(touch_v > before_v);
      before_v = touch_v;
    }
    CHECK(touch_voltage_v(field, state, 0, {1e6, 0.0}) == Approx(whole_v).epsilon(1e-4));
  }
}

TEST_CASE("the greatest potential lies on the electrode") {
  std::mt19937_64 random(77);
  for (int i = 0; i < 10; ++i) {
    const LayeredSoil soil = arrangements::random_soil(random);
    const auto bars = arrangements::random_bars_inside(random, {8.0, 6.0, 2.0});
    const FieldSolution field = solve_field(soil, {{"bars", bars}}, {2e-3});
    const FieldState state = state_of(field, {0});
    const SurfaceMap map = surface_map(field, state, {-6.0, 6.0, -5.0, 5.0, 61, 51});
    const auto [least, greatest] = std::minmax_element(map.potentials_v.begin(), map.potentials_v.end());
    CHECK(*least > 0.0);
    CHECK(*greatest <= state.potentials_v[0] * (1.0 + 1e-3));
  }
}

TEST_CASE("reciprocity: a small electrode at the point, energised, lifts the system by the same volts") {
  for (const LayeredSoil& soil : {LayeredSoil(100.0), three_layers()}) {
    const auto mesh = mesh_of({{6.0, 2}, {6.0, 2}, 0.5, 0.005});
    const Conductor probe{{9.0, 2.0, 0.0}, {9.0, 2.0, 0.05}, 0.002};
    const FieldSolution alone = solve_field(soil, {{"mesh", mesh, Crossings::joined}}, {2e-3});
    const FieldSolution both =
        solve_field(soil, {{"mesh", mesh, Crossings::joined}, {"probe", {probe}}}, {2e-3});
    const Place point{9.0, 2.0, 0.025};
    const double at_point_v = alone.potentials_v(state_of(alone, {0}), {&point, 1}).front();
    CHECK(state_of(both, {1}).potentials_v[0] == Approx(at_point_v).epsilon(3e-3));
  }
}

TEST_CASE("far away every electrode is a point") {
  const LayeredSoil soil = three_layers();
  const FieldSolution field = mesh_field(soil);
  const SurfaceMap map = surface_map(field, state_of(field, {0}), {4.5, 504.5, 4.5, 5.0, 2, 2});
  const double point_v = ohmroot::earth::point_potential_ohm(soil, {500.0, 0.5, 0.0});
  CHECK(map.potential_v(1, 0) == Approx(point_v).epsilon(2e-3));
}

TEST_CASE("a map of many points agrees with the same points one by one") {
  std::mt19937_64 random(5);
  for (int i = 0; i < 6; ++i) {
    const LayeredSoil soil = i == 0 ? LayeredSoil(100.0) : arrangements::random_soil(random);
    const auto bars = arrangements::random_bars_inside(random, {12.0, 8.0, 3.0});
    const FieldSolution field = solve_field(soil, {{"bars", bars}}, {2e-3});
    const FieldState state = state_of(field, {0});
    const SurfaceMap map = surface_map(field, state, {-30.0, 30.0, -20.0, 22.0, 61, 43});
    for (int row = 0; row < 43; row += 3) {
      for (int column = 0; column < 61; column += 3) {
        const Place place{map.x_m(column), map.y_m(row), 0.0};
        const double one_v = field.potentials_v(state, {&place, 1}).front();
        CAPTURE(i, place.x_m, place.y_m);
        CHECK(map.potential_v(column, row) == Approx(one_v).epsilon(1e-4));
      }
    }
  }
}

TEST_CASE("maps and places that cannot be are refused") {
  const FieldSolution field = solve_field(LayeredSoil(100.0), {{"rod", {rod}}});
  const FieldState state = state_of(field, {0});
  CHECK_THROWS_AS(state_of(field, {1}), DomainError);
  CHECK_THROWS_AS(surface_map(field, state, {0.0, 0.0, 0.0, 1.0, 5, 5}), DomainError);
  CHECK_THROWS_AS(surface_map(field, state, {0.0, 1.0, 0.0, 1.0, 1, 5}), DomainError);
  CHECK_THROWS_AS(touch_voltage_v(field, state, 3, {1.0, 0.0}), DomainError);
  CHECK_THROWS_AS(touch_voltage_v(field, state, 0, {inf, 0.0}), DomainError);
  CHECK_THROWS_AS(worst_touch(field, state, 0, {{0.0, 0.0}, -1.0, 0.0}), DomainError);
  CHECK_THROWS_AS(worst_touch(field, state, 0, {{0.0, 0.0}, 1.0, 0.0}, 0.0), DomainError);
  CHECK_THROWS_AS(step_voltage(field, state, {0.0, 0.0}, -1.0), DomainError);
  const SurfaceMap map = surface_map(field, state, {0.0, 1.0, 0.0, 1.0, 2, 2});
  CHECK_THROWS_AS(map.potential_v(2, 0), DomainError);
}
