// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/encasement.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <limits>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();

double plain_rod_ohm(const LayeredSoil& soil, double diameter_m) {
  const Conductor bar{{0.0, 0.0, 0.0}, {0.0, 0.0, 3.0}, diameter_m / 2.0};
  return solve_field(soil, {{"rod", {bar}}}).resistance_ohm(0, 0);
}

}  // namespace

TEST_CASE("fill as resistive as the soil leaves the plain rod between the bounds, and both near it") {
  const LayeredSoil soil(100.0);
  const EncasedResistance found = encased_rod_bounds(soil, {{3.0, 0.016}, 0.1, 100.0});
  const double plain_ohm = plain_rod_ohm(soil, 0.016);
  CHECK(found.lower_bound_ohm <= plain_ohm);
  CHECK(found.upper_bound_ohm >= plain_ohm);
  CHECK(found.upper_bound_ohm < 1.10 * found.lower_bound_ohm);
}

TEST_CASE("no fill is no fill") {
  const LayeredSoil soil({{200.0, 1.0}, {50.0, inf}});
  const EncasedResistance found = encased_rod_bounds(soil, {{3.0, 0.016}, 0.016, 30.0});
  const double plain_ohm = plain_rod_ohm(soil, 0.016);
  CHECK(found.lower_bound_ohm == Approx(plain_ohm).epsilon(2e-3));
  CHECK(found.upper_bound_ohm == Approx(plain_ohm).epsilon(2e-3));
}

TEST_CASE("fill of no resistance is metal") {
  const LayeredSoil soil({{200.0, 1.0}, {50.0, inf}});
  const EncasedResistance found = encased_rod_bounds(soil, {{3.0, 0.016}, 0.2, 0.01});
  CHECK(found.lower_bound_ohm == Approx(plain_rod_ohm(soil, 0.2)).epsilon(3e-3));
  CHECK(found.upper_bound_ohm == Approx(plain_rod_ohm(soil, 0.2)).epsilon(3e-3));
}

TEST_CASE("the closed form lies near the bounds, up to the one or two per cent of its rod term") {
  for (const double fill_diameter_m : {0.05, 0.1, 0.3}) {
    const EncasedRod rod{{3.0, 0.016}, fill_diameter_m, 30.0};
    const EncasedResistance found = encased_rod_bounds(LayeredSoil(100.0), rod);
    const double closed_ohm = encased_rod_formula_ohm(100.0, rod);
    CAPTURE(fill_diameter_m, found.lower_bound_ohm, found.upper_bound_ohm, closed_ohm);
    CHECK(closed_ohm >= 0.98 * found.lower_bound_ohm);
    CHECK(closed_ohm <= 1.05 * found.upper_bound_ohm);
  }
}

TEST_CASE("encasements that cannot be are refused") {
  const LayeredSoil soil(100.0);
  CHECK_THROWS_AS(encased_rod_bounds(soil, {{3.0, 0.016}, 0.01, 30.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_bounds(soil, {{3.0, 0.016}, 0.5, 30.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_bounds(soil, {{3.0, 0.016}, 0.1, 0.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_formula_ohm(-1.0, {{3.0, 0.016}, 0.1, 30.0}), DomainError);
  CHECK_THROWS_AS(foundation_factor_per_m(0.0), DomainError);
}
