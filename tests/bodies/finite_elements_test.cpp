// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <catch2/catch.hpp>

#include <limits>
#include <string>
#include <support/finite_elements.hpp>

// Two-layer soils against finite elements (gmsh and getdp, decks in reference/fem, run by run_bodies): another
// method and another program. Tolerances are the accuracies that the library states: 0.1 % for plates and the
// estimate of blocks, 0.3 % for potentials.

using namespace ohmroot::electrode;
using ohmroot::earth::LayeredSoil;
using ohmroot::test::finest_values;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

struct TwoLayers {
  std::string name;
  LayeredSoil soil;
};

std::vector<TwoLayers> two_layers() {
  return {{"100-over-1000-at-1.2", LayeredSoil({{100.0, 1.2}, {1000.0, inf}})},
          {"1000-over-100-at-1.2", LayeredSoil({{1000.0, 1.2}, {100.0, inf}})}};
}

}  // namespace

TEST_CASE("finite elements: a disc over two layers") {
  const auto values = finest_values("bodies.txt");
  for (const auto& [name, soil] : two_layers()) {
    const PlateResistance found = plate_resistance(soil, CircularPlate{1.0, 0.5, PlateAttitude::horizontal});
    CHECK(found.resistance_ohm == Approx(values.at("disc-1m-0.5-deep-" + name).front()).epsilon(1e-3));
  }
}

TEST_CASE("finite elements: a block in two layers lies between its bounds") {
  const auto values = finest_values("bodies.txt");
  for (const auto& [name, soil] : two_layers()) {
    const double finite_ohm = values.at("block-2x1x2-" + name).front();
    const BlockResistance found = block_resistance(soil, {2.0, 1.0, 2.0});
    CHECK(found.lower_bound_ohm < finite_ohm);
    CHECK(found.upper_bound_ohm > finite_ohm);
    CHECK(found.estimate_ohm == Approx(finite_ohm).epsilon(1e-3));
  }
}

TEST_CASE("finite elements: surface potential and touch voltage beside a rod in two layers") {
  const auto values = finest_values("bodies.txt");
  const Conductor rod{{0.0, 0.0, 0.0}, {0.0, 0.0, 2.4}, 0.008};
  for (const auto& [name, soil] : two_layers()) {
    const FieldSolution field = solve_field(soil, {{"rod", {rod}}});
    const FieldState state = state_of(field, {0});
    for (const auto& [x, place] : {std::pair{0.5, "0.5m"}, {1.0, "1m"}, {2.0, "2m"}}) {
      const double surface_v = values.at("beside-rod-2.4x16-" + name + "-at-" + place).front();
      const double touch_v = touch_voltage_v(field, state, 0, {x, 0.0});
      CAPTURE(name, place);
      CHECK(state.potentials_v[0] - touch_v == Approx(surface_v).epsilon(3e-3));
      CHECK(touch_v == Approx(field.resistance_ohm(0, 0) - surface_v).epsilon(3e-3));
    }
  }
}
