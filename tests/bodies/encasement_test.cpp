// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/encasement.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <string>
#include <support/finite_elements.hpp>
#include <vector>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();
const double pi = std::acos(-1.0);

Conductor filled_rod(double length_m, double radius_m, double fill_radius_m, double fill_ohm_m) {
  Conductor bar{{0.0, 0.0, 0.0}, {0.0, 0.0, length_m}, fill_radius_m};
  bar.core = Core{radius_m, fill_ohm_m};
  return bar;
}

Conductor plain_rod(double length_m, double radius_m) {
  return {{0.0, 0.0, 0.0}, {0.0, 0.0, length_m}, radius_m};
}

FieldSolution solved(const LayeredSoil& soil, const Conductor& bar) {
  return solve_field(soil, {{"rod", {bar}}});
}

FieldState at_one_ampere(const FieldSolution& field) {
  const std::vector<Duty> duty{{DutyKind::current, 1.0}};
  return field.state(duty);
}

}  // namespace

TEST_CASE("rods in a fill agree with finite elements", "[electrode][field]") {
  // reference/fem/run_filled, some of whose columns cross a boundary of layers.
  int uniform_count = 0;
  int layered_count = 0;
  for (const auto& [name, values] : ohmroot::test::finest_values("filled.txt")) {
    double length_m = 0.0, radius_m = 0.0, fill_m = 0.0, upper = 0.0, lower = 0.0, fill = 0.0;
    REQUIRE(std::sscanf(name.c_str(), "%lf:%lf:%lf:%lf:%lf:%lf", &length_m, &radius_m, &fill_m, &upper,
                        &lower, &fill) == 6);
    const bool is_uniform = upper == lower;
    ++(is_uniform ? uniform_count : layered_count);
    const LayeredSoil soil = is_uniform ? LayeredSoil(upper) : LayeredSoil({{upper, 1.2}, {lower, inf}});
    const FieldSolution field = solved(soil, filled_rod(length_m, radius_m, fill_m, fill));
    INFO(name << ": " << field.resistance_ohm(0, 0) << " ohm, finite elements " << values[0]
              << " ohm, estimate " << field.estimate_ratio());
    CHECK(field.resistance_ohm(0, 0) == Approx(values[0]).epsilon(1e-3));
    // The finite elements lie below the exact value, by 2e-5 where they are coarsest.
    CHECK(field.resistance_ohm(0, 0) == Approx(values[0]).epsilon(2.0 * field.estimate_ratio() + 5e-5));
    if (fill <= 20.0 * std::min(upper, lower)) CHECK(field.estimate_ratio() < 3e-3);
  }
  CHECK(uniform_count >= 20);
  CHECK(layered_count >= 4);
}

TEST_CASE("fill as resistive as the soil is soil", "[electrode][field]") {
  for (const double fill_radius_m : {0.02, 0.05, 0.1}) {
    const double filled =
        solved(LayeredSoil(100.0), filled_rod(3.0, 0.008, fill_radius_m, 100.0)).resistance_ohm(0, 0);
    CHECK(filled ==
          Approx(solved(LayeredSoil(100.0), plain_rod(3.0, 0.008)).resistance_ohm(0, 0)).epsilon(1e-3));
  }
}

TEST_CASE("no fill is no fill, and fill of no resistance is metal", "[electrode][field]") {
  const LayeredSoil soil({{200.0, 1.0}, {50.0, inf}});
  CHECK(solved(soil, filled_rod(3.0, 0.008, 0.008, 30.0)).resistance_ohm(0, 0) ==
        Approx(solved(soil, plain_rod(3.0, 0.008)).resistance_ohm(0, 0)).epsilon(1e-4));
  CHECK(solved(soil, filled_rod(3.0, 0.008, 0.1, 0.01)).resistance_ohm(0, 0) ==
        Approx(solved(soil, plain_rod(3.0, 0.1)).resistance_ohm(0, 0)).epsilon(1e-3));
}

TEST_CASE("a filled bar lies between a metal sheet about its fill and straight lines through it",
          "[electrode][field]") {
  // Thomson's principle: a sheet can only lower the resistance, a flow held to straight lines only raise it. In a fill
  // better than the soil the ways round the end add less than a radius of the fill to the length.
  for (const auto& soil : {LayeredSoil(100.0), LayeredSoil({{300.0, 1.0}, {60.0, inf}})}) {
    for (const double fill_ohm_m : {5.0, 30.0, 60.0}) {
      const FieldSolution column = solved(soil, plain_rod(3.0, 0.05));
      const double through_ohm_m = fill_ohm_m * std::log(0.05 / 0.008) / (2.0 * pi);
      double losses_per_m = 0.0;
      for (const Leakage& element : column.leakage(at_one_ampere(column)))
        losses_per_m += element.current_a * element.current_a / (element.to_m - element.from_m);
      const double found = solved(soil, filled_rod(3.0, 0.008, 0.05, fill_ohm_m)).resistance_ohm(0, 0);
      CHECK(found > column.resistance_ohm(0, 0) + through_ohm_m / 3.05);
      CHECK(found < column.resistance_ohm(0, 0) + through_ohm_m * losses_per_m);
    }
  }
}

TEST_CASE("a tape in a trench of backfill: the layer about it adds what a coaxial layer has",
          "[electrode][field]") {
  // Long, so that the ends matter little. The same for one bar and for a bent one, whose halves are alike.
  Conductor bar{{0.0, 0.0, 0.8}, {30.0, 0.0, 0.8}, 0.08};
  const LayeredSoil soil(500.0);
  const double column_ohm = solved(soil, bar).resistance_ohm(0, 0);
  bar.core = Core{0.00625, 2.5};
  const double coaxial_ohm = 2.5 * std::log(0.08 / 0.00625) / (2.0 * pi * 30.0);
  CHECK(solved(soil, bar).resistance_ohm(0, 0) == Approx(column_ohm + coaxial_ohm).epsilon(1e-3));
  Conductor first = bar;
  first.to = {15.0, 0.0, 0.8};
  Conductor second = first;
  second.from = first.to;
  second.to = {15.0, 15.0, 0.8};
  std::vector<Electrode> bent{{"bent", {first, second}}};
  const double filled_ohm = solve_field(soil, bent).resistance_ohm(0, 0);
  for (Conductor& half : bent[0].conductors)
    half.core.reset();
  CHECK(filled_ohm == Approx(solve_field(soil, bent).resistance_ohm(0, 0) + coaxial_ohm).epsilon(1e-3));
}

TEST_CASE("within a fill the potential falls from the bar's to the soil's", "[electrode][field]") {
  const FieldSolution field = solved(LayeredSoil(100.0), filled_rod(3.0, 0.008, 0.1, 300.0));
  const FieldState state = at_one_ampere(field);
  const auto at = [&](double x_m) {
    const std::vector<Place> places{{x_m, 0.0, 1.4}};
    return field.potentials_v(state, places)[0];
  };
  CHECK(at(0.004) == state.potentials_v[0]);
  CHECK(at(0.008) == Approx(state.potentials_v[0]));
  CHECK(at(0.03) < at(0.02));
  CHECK(at(0.0999) == Approx(at(0.1001)).epsilon(0.03));
  // A third of an ampere on each metre, as the leakage of a rod in its middle is nearly.
  CHECK(at(0.008) - at(0.08) == Approx(300.0 * std::log(10.0) / (2.0 * pi * 3.0)).epsilon(0.06));
  const FieldSolution::Spread spread = field.potential_spread(state, 0);
  CHECK(spread.least_ratio > 0.97);
  CHECK(spread.greatest_ratio < 1.03);
}

TEST_CASE("the closed form lies near the field solution, up to the one or two per cent of its rod term",
          "[electrode]") {
  for (const double fill_diameter_m : {0.05, 0.1, 0.3}) {
    const double closed_ohm = encased_rod_formula_ohm(100.0, {{3.0, 0.016}, fill_diameter_m, 30.0});
    const double field_ohm =
        solved(LayeredSoil(100.0), filled_rod(3.0, 0.008, fill_diameter_m / 2.0, 30.0)).resistance_ohm(0, 0);
    CAPTURE(fill_diameter_m, closed_ohm, field_ohm);
    CHECK(closed_ohm > field_ohm);
    CHECK(closed_ohm < 1.03 * field_ohm);
  }
}

TEST_CASE("encasements that cannot be are refused") {
  const LayeredSoil soil(100.0);
  CHECK_THROWS_AS(solved(soil, filled_rod(3.0, 0.06, 0.05, 30.0)), DomainError);
  CHECK_THROWS_AS(solved(soil, filled_rod(3.0, 0.0005, 0.05, 30.0)), DomainError);
  CHECK_THROWS_AS(solved(soil, filled_rod(3.0, 0.008, 0.05, 0.0)), DomainError);
  Conductor insulated = filled_rod(3.0, 0.008, 0.05, 30.0);
  insulated.coating = Coating::insulated;
  CHECK_THROWS_AS(solved(soil, insulated), DomainError);
  CHECK_THROWS_AS(encased_rod_formula_ohm(100.0, {{3.0, 0.016}, 0.01, 30.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_formula_ohm(100.0, {{3.0, 0.016}, 0.5, 30.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_formula_ohm(100.0, {{3.0, 0.016}, 0.1, 0.0}), DomainError);
  CHECK_THROWS_AS(encased_rod_formula_ohm(-1.0, {{3.0, 0.016}, 0.1, 30.0}), DomainError);
  CHECK_THROWS_AS(foundation_factor_per_m(0.0), DomainError);
}
