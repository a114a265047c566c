// SPDX-License-Identifier: MIT
#include "arrangements.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <limits>
#include <numbers>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::Layer;
using ohmroot::earth::LayeredSoil;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

/// Random bars within the volume in random soil: nothing inside may have less than the floor.
void require_floor_holds(std::mt19937_64& random) {
  const LayeredSoil soil = arrangements::random_soil(random);
  const ReachableVolume volume{arrangements::uniform(random, 2.0, 20.0),
                               arrangements::uniform(random, 2.0, 20.0),
                               arrangements::uniform(random, 1.0, 5.0)};
  const std::vector<Conductor> bars = arrangements::random_bars_inside(random, volume);
  const FieldSolution field = solve_field(soil, {{"inside", bars}}, {5e-3});
  const double resistance_ohm = field.resistance_ohm(0, 0) * (1.0 + 2.0 * field.estimate_ratio());
  const BlockResistance block = block_resistance(soil, volume, {4});
  CAPTURE(volume.length_m, volume.width_m, volume.depth_m, bars.size(), soil.layers().size());
  CHECK(block.lower_bound_ohm <= resistance_ohm);
  CHECK(block.lower_bound_ohm <= block.upper_bound_ohm);
  const double ellipsoid_ohm = soil.least_resistivity_ohm_m() * ellipsoid_floor_bound_per_m(volume);
  CHECK(ellipsoid_ohm <= block.estimate_ohm);
}

}  // namespace

TEST_CASE("a block flush with the surface is half a cube of the published capacitance") {
  // capacitance of the unit cube 0.6606782 (times 4 pi epsilon): Hwang, Mascagni, J. Appl. Phys. 95 (2004)
  // 3798; the half of it in soil carries half the current
  const double exact_ohm = 100.0 / (2.0 * std::numbers::pi * 0.6606782);
  const BlockResistance found = block_resistance(LayeredSoil(100.0), {1.0, 1.0, 0.5});
  CHECK(found.estimate_ohm == Approx(exact_ohm).epsilon(1e-3));
  CHECK(found.lower_bound_ohm <= exact_ohm);
  CHECK(found.upper_bound_ohm >= exact_ohm);
  CHECK(found.lower_bound_ohm >= 0.99 * exact_ohm);
  CHECK(found.upper_bound_ohm <= 1.01 * exact_ohm);
}

TEST_CASE("the bounds of a block close in on each other") {
  const LayeredSoil soil({{300.0, 0.7}, {40.0, 2.0}, {500.0, inf}});
  const ReachableVolume volume{6.0, 2.0, 1.2};
  const BlockResistance coarse = block_resistance(soil, volume, {4});
  const BlockResistance fine = block_resistance(soil, volume, {6});
  CHECK(fine.lower_bound_ohm > coarse.lower_bound_ohm);
  CHECK(fine.upper_bound_ohm < coarse.upper_bound_ohm);
  CHECK(fine.upper_bound_ohm - fine.lower_bound_ohm < 0.025 * fine.estimate_ohm);
  CHECK(fine.estimate_ohm == Approx(coarse.estimate_ohm).epsilon(1e-3));
}

TEST_CASE("layers that differ in nothing are uniform soil to a block") {
  const ReachableVolume volume{3.0, 2.0, 1.0};
  const BlockResistance whole = block_resistance(LayeredSoil(80.0), volume);
  const BlockResistance cut = block_resistance(LayeredSoil({{80.0, 0.4}, {80.0, inf}}), volume);
  CHECK(cut.estimate_ohm == Approx(whole.estimate_ohm).epsilon(3e-4));
}

TEST_CASE("worse soil anywhere raises the resistance of a block") {
  const ReachableVolume volume{2.0, 2.0, 1.0};
  const double plain_ohm = block_resistance(LayeredSoil(50.0), volume).estimate_ohm;
  const double bad_top_ohm = block_resistance(LayeredSoil({{500.0, 0.5}, {50.0, inf}}), volume).estimate_ohm;
  const double bad_ohm = block_resistance(LayeredSoil(500.0), volume).estimate_ohm;
  CHECK(plain_ohm < bad_top_ohm);
  CHECK(bad_top_ohm < bad_ohm);
}

TEST_CASE("half an ellipsoid round a block has less resistance, one inside it more") {
  for (const ReachableVolume& volume :
       {ReachableVolume{1.0, 1.0, 0.5}, ReachableVolume{10.0, 4.0, 1.5}, ReachableVolume{30.0, 20.0, 3.0}}) {
    const BlockResistance block = block_resistance(LayeredSoil(100.0), volume);
    CHECK(100.0 * ellipsoid_floor_bound_per_m(volume) <= block.lower_bound_ohm);
    const double inside_per_m =
        half_ellipsoid_factor_per_m({volume.length_m / 2.0, volume.width_m / 2.0, volume.depth_m});
    CHECK(100.0 * inside_per_m >= block.upper_bound_ohm);
  }
}

TEST_CASE("no random bars beat the block that encloses them") {
  std::mt19937_64 random(20240501);
  for (int i = 0; i < 12; ++i)
    require_floor_holds(random);
}

TEST_CASE("no random bars beat the block that encloses them, a thousand times", "[slow]") {
  std::mt19937_64 random(20240502);
  for (int i = 0; i < 1000; ++i)
    require_floor_holds(random);
}

TEST_CASE("blocks that cannot be are refused") {
  const LayeredSoil soil(100.0);
  CHECK_THROWS_AS(block_resistance(soil, {0.0, 1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(block_resistance(soil, {1.0, 1.0, inf}), DomainError);
  CHECK_THROWS_AS(block_resistance(soil, {5000.0, 1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(block_resistance(soil, {1.0, 1.0, 1.0}, {2}), DomainError);
}
