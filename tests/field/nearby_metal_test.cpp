// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/electrode/nearby_metal.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;
using std::numbers::pi;

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
const LayeredSoil soil_100{100.0};

Electrode rod_at(double x_m, double length_m = 2.4, double diameter_m = 0.016) {
  return {"rod", {{{x_m, 0.0, 0.0}, {x_m, 0.0, length_m}, diameter_m / 2.0}}};
}

/// Along y.
Electrode pipe_at(double x_m, double length_m = 40.0) {
  return {"pipe", {{{x_m, -0.5 * length_m, 0.8}, {x_m, 0.5 * length_m, 0.8}, 0.05}}};
}

NearbyResult near(const Electrode& metal, Connection connection, const LayeredSoil& soil = soil_100) {
  return among_nearby_metal(soil, rod_at(0.0), {{metal, connection}});
}

double ohm(const LayeredSoil& soil, const Electrode& electrode) {
  return solve_field(soil, {electrode}).resistance_ohm(0, 0);
}

double surface_v(const FieldSolution& field, const FieldState& state, double x_m, double y_m) {
  const Place place{x_m, y_m, 0.0};
  return field.potentials_v(state, {&place, 1}).front();
}

}  // namespace

TEST_CASE("small electrodes far apart follow the two-port of points", "[nearby]") {
  // Own resistances R1, R2 and the mutual one of two points M: joined (R1 R2 - M^2)/(R1 + R2 - 2 M), earthed
  // R1 - M^2/R2, floating R1 (circuit theory). M by the layers' Hankel integral, another route than the field
  // solution. 0.5 %: rods 0.5 m long, 4 m apart, taken as points at half their depth.
  for (const LayeredSoil& soil : {soil_100, LayeredSoil({{60.0, 1.5}, {600.0, infinite}})}) {
    const Electrode first = rod_at(0.0, 0.5);
    const Electrode second = rod_at(4.0, 0.5, 0.03);
    const double r1 = ohm(soil, first);
    const double r2 = ohm(soil, second);
    const double m = ohmroot::earth::point_potential_ohm(soil, {4.0, 0.25, 0.25});
    const auto with = [&](Connection connection) {
      return among_nearby_metal(soil, first, {{second, connection}});
    };
    const NearbyResult joined = with(Connection::joined);
    CHECK(joined.alone_ohm.value == Approx(r1).epsilon(1e-9));
    CHECK(joined.together_ohm.value == Approx((r1 * r2 - m * m) / (r1 + r2 - 2.0 * m)).epsilon(0.005));
    CHECK(joined.effects[0].current_share_ratio == Approx((r1 - m) / (r1 + r2 - 2.0 * m)).epsilon(0.005));
    CHECK(joined.effects[0].potential_share_ratio == Approx(1.0));
    const NearbyResult earthed = with(Connection::earthed);
    CHECK(earthed.together_ohm.value == Approx(r1 - m * m / r2).epsilon(0.005));
    CHECK(earthed.effects[0].current_share_ratio == Approx(-m / r2).epsilon(0.005));
    CHECK(std::abs(earthed.effects[0].potential_share_ratio) < 1e-9);
    const NearbyResult floating = with(Connection::floating);
    CHECK(floating.together_ohm.value == Approx(r1).epsilon(0.005));
    CHECK(floating.effects[0].potential_share_ratio == Approx(m / r1).epsilon(0.01));
    CHECK(std::abs(floating.effects[0].current_share_ratio) < 1e-9);
  }
}

TEST_CASE("two equal rods joined follow the published pair", "[nearby]") {
  // R = R1/2 (1 + rho/(2 pi R1 s)): BS 7430:2011 cl. 9.5 for rods in line (lambda = 1 for two), from memory. 3 %: the
  // rods are taken as points for each other, at twice their length apart.
  const double r1 = ohm(soil_100, rod_at(0.0));
  const NearbyResult pair = near(rod_at(4.8), Connection::joined);
  CHECK(pair.together_ohm.value == Approx(0.5 * r1 * (1.0 + 100.0 / (2.0 * pi * r1 * 4.8))).epsilon(0.03));
  CHECK(pair.electrode_current_share_ratio == Approx(0.5).epsilon(1e-6));
  CHECK(pair.effects[0].current_share_ratio == Approx(0.5).epsilon(1e-6));
}

TEST_CASE("nearby metal never raises the resistance, and conductances add at most", "[nearby]") {
  // Thomson's theorem; R >= 1 / sum(1/R_i) for joined metal (any layering).
  for (const LayeredSoil& soil : {soil_100, LayeredSoil({{30.0, 1.0}, {900.0, infinite}}),
                                  LayeredSoil({{500.0, 1.2}, {40.0, infinite}})}) {
    for (const double x_m : {0.3, 1.0, 3.0, 10.0}) {
      const Electrode pipe = pipe_at(x_m);
      const NearbyResult floating = near(pipe, Connection::floating, soil);
      const NearbyResult joined = near(pipe, Connection::joined, soil);
      const NearbyResult earthed = near(pipe, Connection::earthed, soil);
      const double alone = floating.alone_ohm.value;
      const double slack = 1.0 + 4.0 * floating.field.estimate_ratio();
      CHECK(floating.together_ohm.value < alone * slack);
      CHECK(earthed.together_ohm.value < floating.together_ohm.value);
      CHECK(joined.together_ohm.value < ohm(soil, pipe) * slack);
      CHECK(joined.together_ohm.value * slack > 1.0 / (1.0 / alone + 1.0 / ohm(soil, pipe)));
      CHECK(joined.electrode_current_share_ratio + joined.effects[0].current_share_ratio == Approx(1.0));
      CHECK(joined.effects[0].current_share_ratio > 0.5);  // 40 m of pipe carry most of it
      CHECK(earthed.electrode_current_share_ratio == Approx(1.0));
      CHECK(earthed.effects[0].current_share_ratio < 0.0);
      CHECK(earthed.effects[0].current_share_ratio > -1.0);
    }
  }
}

TEST_CASE("the effect grows as the metal comes nearer, and is nothing far away", "[nearby]") {
  double floating_before = infinite;
  double earthed_before = infinite;
  for (const double x_m : {300.0, 30.0, 10.0, 3.0, 1.0, 0.3}) {
    const NearbyResult floating = near(pipe_at(x_m), Connection::floating);
    const NearbyResult earthed = near(pipe_at(x_m), Connection::earthed);
    CHECK(earthed.together_ohm.value < earthed_before);
    CHECK(floating.together_ohm.value < floating_before * 1.0005);
    floating_before = floating.together_ohm.value;
    earthed_before = earthed.together_ohm.value;
    if (x_m == 300.0) {
      CHECK(earthed.together_ohm.value == Approx(earthed.alone_ohm.value).epsilon(1e-3));
      CHECK(floating.effects[0].potential_share_ratio < 0.02);
    }
  }
  const NearbyResult far = near(pipe_at(300.0), Connection::floating);
  CHECK(floating_before < far.together_ohm.least);  // beyond what the solutions themselves leave open
}

TEST_CASE("a floating pipe carries the potential along, a bonded one spreads it", "[nearby]") {
  // Over the pipe, 15 m along it, the ground has more than without the pipe: it is lifted as a whole. Beside the rod it
  // has less. Both follow from the pipe being at one potential between those at its ends and in its middle.
  const NearbyResult floating = near(pipe_at(1.0), Connection::floating);
  const FieldSolution alone = solve_field(soil_100, {rod_at(0.0)});
  const FieldState one_ampere = state_of(alone, {0, 1.0});
  CHECK(surface_v(floating.field, floating.state, 1.0, 15.0) > 1.5 * surface_v(alone, one_ampere, 1.0, 15.0));
  CHECK(surface_v(floating.field, floating.state, 1.0, 0.0) < surface_v(alone, one_ampere, 1.0, 0.0));
  CHECK(floating.state.currents_a[0] == Approx(1.0));
  // Far away only the current counts: rho / (2 pi r) per ampere, whatever is joined (derived). At 2 km.
  const NearbyResult joined = near(pipe_at(1.0), Connection::joined);
  CHECK(surface_v(joined.field, joined.state, 2000.0, 0.0) ==
        Approx(100.0 / (2.0 * pi * 2000.0)).epsilon(2e-3));
}

TEST_CASE("the finding says what a design can count on", "[nearby]") {
  const NearbyResult result = among_nearby_metal(
      soil_100, rod_at(0.0),
      {{pipe_at(2.0), Connection::joined}, {{"fence", rod_at(-3.0, 1.0).conductors}, Connection::floating}});
  CHECK(result.effects.size() == 2);
  CHECK(result.status == FieldStatus::converged);
  CHECK(result.alone_ohm.least < result.alone_ohm.value);
  CHECK(result.together_ohm.greatest > result.together_ohm.value);
  CHECK_THAT(result.finding,
             Catch::Contains("pipe, joined to it, carries") && Catch::Contains("replaced by plastic"));
  CHECK_THAT(result.finding, Catch::Contains("fence, connected to nothing, is lifted to"));
  CHECK(connection_name(Connection::earthed) == "on a sound earth");
}

TEST_CASE("nearby metal that cannot be is refused", "[nearby]") {
  CHECK_THROWS_AS(among_nearby_metal(soil_100, rod_at(0.0), {}), DomainError);
  CHECK_THROWS_AS(near(rod_at(0.01), Connection::floating), DomainError);  // touching
  CHECK_THROWS_AS(near(rod_at(3.0, -1.0), Connection::floating), DomainError);
}
