// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/quick_rod.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::Layer;
using ohmroot::earth::LayeredSoil;

namespace {

/// Lengths of 40 to 700 diameters in one to five layers, contrasts to 1:100 either way.
struct Sample {
  LayeredSoil soil;
  Rod rod;
  std::vector<double> stakes_m;
};

Sample sample_of(std::mt19937_64& random) {
  using field_cases::uniform;
  const int count = std::uniform_int_distribution<int>(1, 5)(random);
  std::vector<Layer> layers;
  for (int i = 0; i < count; ++i)
    layers.push_back({std::pow(10.0, uniform(random, 1.0, 3.0)), std::pow(10.0, uniform(random, -1.0, 1.0))});
  const double diameter_m = uniform(random, 0.009, 0.025);
  const double length_m = std::max(0.6, diameter_m * uniform(random, 40.0, 700.0));
  return {
      LayeredSoil(layers), {length_m, diameter_m}, {uniform(random, 0.3, 3.0) * length_m, 12.0 * length_m}};
}

}  // namespace

TEST_CASE("a rod by a few elements meets values computed by other programs") {
  // reference/fem/results.txt (finite elements) and boundary elements with the exact kernel: cases.hpp.
  int count = 0;
  for (const auto& c : field_cases::all()) {
    if (c.id.rfind("rod-", 0) != 0 || c.conductors.size() != 1 || c.conductors.front().from.depth_m != 0.0)
      continue;
    const Conductor& bar = c.conductors.front();
    const Rod rod{bar.to.depth_m, 2.0 * bar.radius_m};
    if (rod.length_m < 40.0 * rod.diameter_m) continue;
    const double quick_ohm = QuickRods(c.soil, rod.length_m).resistance_ohm(rod);
    CAPTURE(c.id, quick_ohm, c.resistance_ohm);
    CHECK(std::abs(quick_ohm / c.resistance_ohm - 1.0) <= 5e-3 + c.own_error_ratio);
    ++count;
  }
  CHECK(count >= 10);
}

TEST_CASE(
    "a rod by a few elements is within half a per cent of the field solution, and so is what it lifts") {
  std::mt19937_64 random(20261204);
  double worst = 0.0;
  std::vector<double> errors;
  for (int i = 0; i < 100; ++i) {
    const Sample sample = sample_of(random);
    const FieldSolution field =
        solve_field(sample.soil, {{"rod", conductors_of(sample.rod), Crossings::joined}}, {2e-4});
    const auto quick = QuickRods(sample.soil, sample.rod.length_m).answer(sample.rod, sample.stakes_m);
    const double error = std::abs(quick.resistance_ohm / field.resistance_ohm(0, 0) - 1.0);
    CAPTURE(i, sample.rod.length_m, sample.rod.diameter_m, sample.soil.layers().size(), error);
    CHECK(error <= 5e-3);
    errors.push_back(error);
    const std::vector<Duty> one_ampere{{DutyKind::current, 1.0}};
    std::vector<Place> places;
    for (const double stake_m : sample.stakes_m)
      places.push_back({stake_m, 0.0, 0.0});
    const auto lifted_v = field.potentials_v(field.state(one_ampere), places);
    for (std::size_t k = 0; k < places.size(); ++k)
      CHECK(std::abs(quick.lifted_ohm[k] - lifted_v[k]) <= 5e-3 * lifted_v[k]);
    worst = std::max(worst, error);
  }
  std::nth_element(errors.begin(), errors.begin() + 50, errors.end());
  CAPTURE(worst);
  CHECK(errors[50] <= 2e-3);
}

TEST_CASE("what a rod by a few elements cannot be is refused") {
  const QuickRods rods(LayeredSoil(100.0), 3.0);
  CHECK_NOTHROW(rods.resistance_ohm({3.0, 0.016}));
  CHECK_THROWS_AS(rods.resistance_ohm({3.1, 0.016}), DomainError);
  CHECK_THROWS_AS(rods.resistance_ohm({0.0, 0.016}), DomainError);
  CHECK_THROWS_AS(rods.answer({2.4, 0.016}, std::vector<double>{0.0}), DomainError);
  CHECK_THROWS_AS(QuickRods(LayeredSoil(100.0), 0.0), DomainError);
}
