// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/body_coupling.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <random>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

TEST_CASE("precomputed coupling is within 1 % of the field solution") {
  std::mt19937_64 random(51);
  std::uniform_real_distribution<double> place(0.0, 15.0);
  for (const LayeredSoil& soil : {LayeredSoil(100.0), LayeredSoil({{50.0, 1.0}, {500.0, 0.0}}),
                                  LayeredSoil({{500.0, 1.5}, {20.0, 0.0}})}) {
    const BodyCoupling coupling(soil, Rod{2.4, 0.016}, {0.5, 100.0});
    for (int i = 0; i < 6; ++i) {
      std::vector<RodPosition> positions;
      while (positions.size() < 10) {
        const RodPosition next{place(random), place(random)};
        const bool is_apart = std::all_of(positions.begin(), positions.end(), [&](const RodPosition& p) {
          return std::hypot(p.x_m - next.x_m, p.y_m - next.y_m) > 1.2;
        });
        if (is_apart) positions.push_back(next);
      }
      const double truth =
          solve_field(soil, {{"rods", field_cases::rods(positions)}}, {2e-4}).resistance_ohm(0, 0);
      CHECK(coupling.resistance_ohm(positions) == Approx(truth).epsilon(0.01).scale(0));
    }
  }
}

TEST_CASE("two rods at any distance of the table couple as the field solution says, contrasts and all") {
  for (const LayeredSoil& soil : {LayeredSoil(100.0), LayeredSoil({{2000.0, 0.5}, {20.0, 0.0}}),
                                  LayeredSoil({{20.0, 0.3}, {2000.0, 8.0}, {5.0, 0.0}})}) {
    const BodyCoupling coupling(soil, Rod{1.2, 0.016}, {0.048, 40.0});
    for (const double distance_m : {0.06, 0.2, 0.7, 2.0, 5.0, 11.0, 23.0, 33.0, 38.0, 40.0}) {
      const auto rods = field_cases::rods({{0.0, 0.0}, {distance_m, 0.0}}, 1.2);
      const double mutual_ohm =
          solve_field(soil, {{"", {rods[0]}}, {"", {rods[1]}}}, {1e-5}).resistance_ohm(0, 1);
      // Joined, two equal rods have the mean of own and mutual resistance: exact for equal rods.
      const double found_ohm =
          2.0 * coupling.resistance_ohm(std::vector<RodPosition>{{0.0, 0.0}, {distance_m, 0.0}}) -
          coupling.own_ohm();
      INFO("distance " << distance_m);
      CHECK(found_ohm == Approx(mutual_ohm).epsilon(3e-3).scale(0));
    }
  }
}

TEST_CASE("a narrow range of distances couples as the field solution says, at its ends too") {
  for (const LayeredSoil& soil :
       {LayeredSoil(100.0), LayeredSoil({{20.0, 0.3}, {2000.0, 8.0}, {5.0, 0.0}})}) {
    const BodyCoupling coupling(soil, Rod{2.4, 0.016}, {1.0, 3.0});
    for (const double distance_m : {1.0, 1.3, 2.2, 3.0}) {
      const auto rods = field_cases::rods({{0.0, 0.0}, {distance_m, 0.0}}, 2.4);
      const double joined_ohm = solve_field(soil, {{"", {rods[0], rods[1]}}}, {1e-5}).resistance_ohm(0, 0);
      INFO("distance " << distance_m);
      CHECK(coupling.resistance_ohm(std::vector<RodPosition>{{0.0, 0.0}, {distance_m, 0.0}}) ==
            Approx(joined_ohm).epsilon(2e-3).scale(0));
    }
  }
}

TEST_CASE("upright plates couple within 2 % of the field solution, however they face each other") {
  const RectangularPlate plate{0.6, 0.6, 0.8, PlateAttitude::vertical};
  for (const LayeredSoil& soil : {LayeredSoil(100.0), LayeredSoil({{60.0, 1.2}, {1500.0, 0.0}})}) {
    const BodyCoupling coupling(soil, plate, {1.2, 20.0});
    for (const std::vector<RodPosition>& positions :
         std::vector<std::vector<RodPosition>>{{{0, 0}, {1.2, 0}},
                                               {{0, 0}, {0, 1.2}},
                                               {{0, 0}, {2, 0}, {4, 0}, {6, 0}},
                                               {{0, 0}, {0, 1.5}, {3, 0}, {3, 1.5}}}) {
      std::vector<Conductor> bars;
      for (const RodPosition& position : positions)
        for (Conductor bar : conductors_of(plate)) {
          for (Place* end : {&bar.from, &bar.to}) {
            end->x_m += position.x_m;
            end->y_m += position.y_m;
          }
          bars.push_back(bar);
        }
      const double truth_ohm = solve_field(soil, {{"plates", bars}}, {5e-4}).resistance_ohm(0, 0);
      CHECK(coupling.resistance_ohm(positions) == Approx(truth_ohm).epsilon(0.02).scale(0));
    }
  }
  CHECK_THROWS_AS(BodyCoupling(LayeredSoil(100.0), plate, {0.6, 20.0}), DomainError);
}

TEST_CASE("one rod is itself, and rods out of reach are refused") {
  const BodyCoupling coupling(LayeredSoil(100.0), Rod{2.4, 0.016}, {0.048, 10.0});
  const std::vector<RodPosition> one{{3.0, 4.0}};
  CHECK(coupling.resistance_ohm(one) == Approx(coupling.own_ohm()).epsilon(1e-14));
  CHECK(coupling.own_ohm() == Approx(39.99116).epsilon(5e-4));
  CHECK_THROWS_AS(coupling.resistance_ohm({}), DomainError);
  CHECK_THROWS_AS(coupling.resistance_ohm(std::vector<RodPosition>{{0, 0}, {0.01, 0}}), DomainError);
  CHECK_THROWS_AS(coupling.resistance_ohm(std::vector<RodPosition>{{0, 0}, {11, 0}}), DomainError);
  CHECK_THROWS_AS(BodyCoupling(LayeredSoil(100.0), Rod{2.4, 0.016}, {0.04, 10.0}), DomainError);
  CHECK_THROWS_AS(BodyCoupling(LayeredSoil(100.0), Rod{2.4, 0.016}, {2.0, 2.0}), DomainError);
}
