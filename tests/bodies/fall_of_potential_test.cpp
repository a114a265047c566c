// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;
using std::numbers::pi;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();
const Electrode rod{"rod", {{{0.0, 0.0, 0.0}, {0.0, 0.0, 1.2}, 0.008}}};
const double golden = (std::sqrt(5.0) - 1.0) / 2.0;

}  // namespace

TEST_CASE("a reading between point stakes, by hand") {
  // Uniform soil, all distances far greater than rod and stake: with rho / (2 pi d) for each pair,
  // V_E = R - k/D, V_P = k/P - k/(D - P), reading = R - k (1/D + 1/P - 1/(D - P))
  const FallOfPotential test(LayeredSoil(100.0), rod, {}, {{0.0, 0.0}, 0.0, 100.0});
  const double k = 100.0 / (2.0 * pi);
  for (const double p : {20.0, 40.0, 61.8, 80.0}) {
    const double by_hand_ohm = test.resistance_ohm() - k * (1.0 / 100.0 + 1.0 / p - 1.0 / (100.0 - p));
    CHECK(test.reading_ohm(p) == Approx(by_hand_ohm).epsilon(1e-4));
    const double over_r_d = (test.reading_ohm(p) - test.resistance_ohm()) / (k / 100.0);
    CHECK(over_r_d == Approx(small_electrode_error_ratio(p / 100.0)).margin(0.01));
  }
}

TEST_CASE("the right place of the potential stake is 61.8 per cent, or 29 degrees aside at equal distances") {
  // golden ratio and 2 asin(1/4) = 28.955 degrees: potential theory
  const FallOfPotential straight(LayeredSoil(100.0), rod, {}, {{0.0, 0.0}, 40.0, 200.0});
  const auto right_m = straight.correct_distances_m();
  REQUIRE(!right_m.empty());
  CHECK(right_m.front() / 200.0 == Approx(golden).epsilon(2e-4));
  TestLayout aside{{0.0, 0.0}, 40.0, 200.0, equal_distance_angle_deg()};
  const FallOfPotential beside(LayeredSoil(100.0), rod, {}, aside);
  CHECK(beside.reading_ohm(200.0) == Approx(beside.resistance_ohm()).epsilon(1e-5));
}

TEST_CASE("over two layers the right place moves away from 61.8 per cent") {
  // by point sources in the same soil: R - G(D) - G(P) + G(D - P), so the place solves G(D) + G(P) = G(D - P)
  const LayeredSoil soil({{50.0, 2.0}, {1000.0, inf}});
  const double d = 60.0;
  const FallOfPotential test(soil, rod, {}, {{0.0, 0.0}, 0.0, d});
  const auto right_m = test.correct_distances_m();
  REQUIRE(!right_m.empty());
  const double p = right_m.front();
  const auto g = [&](double r) { return ohmroot::earth::point_potential_ohm(soil, {r, 0.3, 0.0}); };
  CHECK(std::abs(g(d) + g(p) - g(d - p)) < 2e-3 * g(d));
  CHECK(std::abs(p / d - golden) > 0.01);
}

TEST_CASE("the current stake must stand far enough away, and the farther the smaller the error") {
  const Electrode mesh{"mesh", mesh_of({{6.0, 2}, {6.0, 2}, 0.5, 0.005}), Crossings::joined};
  const TestLayout from_edge{{6.0, 3.0}, 0.0, 10.0};
  const LayeredSoil soil(100.0);
  double before_m = 0.0;
  for (const double error : {0.1, 0.05, 0.02}) {
    const NeededDistance found = needed_current_distance(soil, mesh, {}, from_edge, error);
    CHECK(found.distance_m > before_m);
    CHECK(std::abs(found.error_ratio) == Approx(error).epsilon(0.01));
    CHECK(std::abs(found.error_ratio) <= error);
    before_m = found.distance_m;
    // a point electrode at the middle, 3 m behind the start, with the mesh's resistance R: by hand
    //   error = -(k / R) (1/(D + X) + 1/(P + X) - 1/(D - P)), P = 0.618 D, X = 3 m
    const double p = golden * found.distance_m;
    const double k = 100.0 / (2.0 * pi);
    const double by_hand = -k *
                           (1.0 / (found.distance_m + 3.0) + 1.0 / (p + 3.0) - 1.0 / (found.distance_m - p)) /
                           solve_field(soil, {mesh}).resistance_ohm(0, 0);
    CHECK(found.error_ratio == Approx(by_hand).epsilon(0.15));
  }
}

TEST_CASE("metal near the electrode: floating it lowers the resistance a little, joined a lot") {
  const LayeredSoil soil({{150.0, 1.0}, {60.0, inf}});
  const Electrode pipe{"pipe", {{{2.0, -10.0, 0.8}, {2.0, 10.0, 0.8}, 0.05}}};
  const TestLayout layout{{0.0, 0.0}, 180.0, 50.0};
  const FallOfPotential alone(soil, rod, {}, layout);
  const FallOfPotential floating(soil, rod, {{pipe, Connection::floating}}, layout);
  const FallOfPotential joined(soil, rod, {{pipe, Connection::joined}}, layout);
  CHECK(floating.resistance_ohm() < alone.resistance_ohm());
  CHECK(joined.resistance_ohm() < floating.resistance_ohm());
  // the conductances of two electrodes add at most
  const double pipe_ohm = solve_field(soil, {pipe}).resistance_ohm(0, 0);
  CHECK(1.0 / joined.resistance_ohm() <= 1.0 / alone.resistance_ohm() + 1.0 / pipe_ohm);
  // over metal that is joined to the electrode the surface shares its potential: the reading is far too low
  const Electrode along{"main", {{{-1.0, 0.4, 0.8}, {-40.0, 0.4, 0.8}, 0.05}}};
  const FallOfPotential bridged(soil, rod, {{along, Connection::joined}}, layout);
  CHECK(bridged.reading_ohm(25.0) < 0.7 * bridged.resistance_ohm());
}

TEST_CASE("a reading starts from nothing at the electrode and rises towards the current stake") {
  const FallOfPotential test(LayeredSoil(100.0), rod, {}, {{0.0, 0.0}, 0.0, 30.0});
  std::vector<double> distances_m{0.0, 0.5, 1.0, 3.0, 10.0, 18.54, 25.0, 29.0};
  const auto curve = test.curve(distances_m);
  CHECK(curve.front().reading_ohm == 0.0);
  for (std::size_t i = 1; i < curve.size(); ++i) {
    CHECK(curve[i].distance_m == distances_m[i]);
    CHECK(curve[i].reading_ohm > curve[i - 1].reading_ohm);
  }
}

TEST_CASE("the slope of a curve leads to the right place") {
  CHECK(slope_ratio({0.0, 7.0, 11.0}) == Approx(4.0 / 7.0));
  CHECK(slope_position_ratio(4.0 / 7.0) == Approx(golden));
  // start of the line 3 m beside the middle of the electrode, whose size is small against that
  const FallOfPotential test(LayeredSoil(100.0), rod, {}, {{3.0, 0.0}, 0.0, 30.0});
  const double slope = slope_ratio({test.reading_ohm(6.0), test.reading_ohm(12.0), test.reading_ohm(18.0)});
  CHECK(test.reading_ohm(30.0 * slope_position_ratio(slope)) == Approx(test.resistance_ohm()).epsilon(1e-3));
}

TEST_CASE("tests that cannot be made are refused") {
  const LayeredSoil soil(100.0);
  CHECK_THROWS_AS(FallOfPotential(soil, rod, {}, {{0.0, 0.0}, 0.0, 0.0}), DomainError);
  CHECK_THROWS_AS(FallOfPotential(soil, rod, {}, {{0.0, 0.0}, inf, 10.0}), DomainError);
  CHECK_THROWS_AS(FallOfPotential(soil, rod, {}, {{-10.0, 0.0}, 0.0, 10.0}), DomainError);  // stake on rod
  CHECK_THROWS_AS(FallOfPotential(soil, rod, {}, {{0.0, 0.0}, 0.0, 10.0}).reading_ohm(-1.0), DomainError);
  CHECK_THROWS_AS(needed_current_distance(soil, rod, {}, {{0.0, 0.0}, 0.0, 10.0}, 0.0), DomainError);
  CHECK_THROWS_AS(small_electrode_error_ratio(1.0), DomainError);
  CHECK_THROWS_AS(slope_ratio({1.0, 1.0, 2.0}), DomainError);
  CHECK_THROWS_AS(slope_position_ratio(2.0), DomainError);
}
