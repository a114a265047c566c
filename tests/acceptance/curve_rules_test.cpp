// SPDX-License-Identifier: MIT
#include "sample_test.hpp"

#include <ohmroot/acceptance/curve_rules.hpp>

#include <catch2/catch.hpp>

#include <utility>
#include <vector>

using namespace test;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

/// Readings of an electrode whose centre lies centre_ratio D behind the start, uniform soil, k / D = 1 ohm.
StraightCurve hidden_centre_curve(double centre_ratio, double resistance_ohm, double current_m = 100.0) {
  StraightCurve curve{current_m, {}, {}};
  for (int percent = 10; percent <= 80; percent += 2) {
    const double p = percent / 100.0;
    curve.potential_distance_m.push_back(p * current_m);
    curve.resistance_ohm.push_back(
        resistance_ohm -
        100.0 / current_m * (1.0 / (1.0 + centre_ratio) + 1.0 / (p + centre_ratio) - 1.0 / (1.0 - p)));
  }
  return curve;
}

}  // namespace

TEST_CASE("slope method finds the resistance behind a hidden centre", "[acceptance]") {
  // Every row of the table is derived from the electrical centre; the published table (Tagg, Earth Resistances,
  // 1964) is known by two rows only, from memory: 0.40 -> 0.643 and 0.80 -> 0.580.
  for (const double centre : {0.0, 0.05, 0.1, 0.3, 0.6, 0.7}) {
    const StraightCurve curve = hidden_centre_curve(centre, 20.0);
    const auto slope = slope_method(curve);
    REQUIRE(slope);
    const double by_hand_mu = (1.0 / (0.4 + centre) - 1.0 / (0.6 + centre) + 2.5 - 1.0 / 0.6) /
                              (1.0 / (0.2 + centre) - 1.0 / (0.4 + centre) + 1.0 / 0.6 - 1.25);
    CHECK(slope->slope_ratio == Approx(by_hand_mu).epsilon(1e-9));
    REQUIRE(slope->position_ratio);
    // 1/(1+X) + 1/(p+X) = 1/(1-p) at p = 0.618034 (1 + X) - X: derived
    CHECK(*slope->position_ratio == Approx(0.618034 * (1.0 + centre) - centre).epsilon(1e-5));
    if (*slope->position_ratio > 0.1) CHECK(*slope->resistance_ohm == Approx(20.0).epsilon(1e-3));
  }
}

TEST_CASE("slope method outside its table says which way", "[acceptance]") {
  StraightCurve steep{50.0, {10.0, 20.0, 30.0, 40.0}, {1.0, 2.0, 4.0, 9.0}};
  const auto slope = slope_method(steep);
  REQUIRE(slope);
  CHECK_FALSE(slope->resistance_ohm);
  CHECK_THAT(slope->refusal, Contains("outside the table") && Contains("move it farther"));
  StraightCurve flat{50.0, {10.0, 20.0, 30.0, 40.0}, {2.0, 2.0, 2.0, 2.1}};
  CHECK_THAT(slope_method(flat)->refusal, Contains("needs no slope method"));
  StraightCurve noisy{50.0, {10.0, 20.0, 30.0, 40.0}, {2.0, 2.2, 2.21, 2.3}};
  CHECK_THAT(slope_method(noisy)->refusal, Contains("noisy"));
  CHECK_FALSE(slope_method({50.0, {10.0, 20.0}, {1.0, 2.0}}));
}

TEST_CASE("intersecting curves meet at the hidden centre", "[acceptance]") {
  // centre 6 m behind the start; current stakes at 40, 60 and 90 m; derived
  std::vector<StraightCurve> curves;
  for (const double d : {40.0, 60.0, 90.0})
    curves.push_back(hidden_centre_curve(6.0 / d, 12.0, d));
  const auto found = intersecting_curves(curves);
  REQUIRE(found);
  CHECK(found->centre_m == Approx(6.0).margin(0.3));
  CHECK(found->resistance_ohm == Approx(12.0).epsilon(2e-3));
  CHECK(found->spread_ratio < 2e-3);
  curves.resize(1);
  CHECK_FALSE(intersecting_curves(curves));
}

TEST_CASE("the flat part is the widest run within its tolerance", "[acceptance]") {
  const StraightCurve curve{
      50.0, {5.0, 10.0, 20.0, 25.0, 30.0, 35.0, 45.0}, {6.0, 8.0, 9.9, 10.0, 10.1, 10.2, 15.0}};
  const auto flat = flat_part(curve, 0.05);
  REQUIRE(flat);
  CHECK(flat->from_m == 20.0);
  CHECK(flat->to_m == 35.0);
  CHECK(flat->mean_ohm == Approx(10.05));
  CHECK_FALSE(flat_part({50.0, {5.0, 10.0, 20.0, 30.0}, {2.0, 4.0, 6.0, 8.0}}, 0.05));
  CHECK_FALSE(flat_part({50.0, {24.0, 25.0, 26.0}, {4.0, 4.0, 4.0}}, 0.05));  // too narrow to say anything
}

TEST_CASE("readings fall into straight curves; those aside or beyond do not", "[acceptance]") {
  const auto curves = straight_curves({{60.0, 30.0, 5.0},
                                       {40.0, 20.0, 4.0},
                                       {40.0, 10.0, 3.0},
                                       {40.0, 20.0, 6.0},
                                       {40.0, 40.0, 9.0, 29.0},
                                       {40.0, 50.0, 9.0}});
  REQUIRE(curves.size() == 2);
  CHECK(curves[0].current_distance_m == 40.0);
  CHECK(curves[0].potential_distance_m == std::vector<double>{10.0, 20.0});
  CHECK(curves[0].resistance_ohm == std::vector<double>{3.0, 5.0});
  CHECK_FALSE(reading_at(curves[0], 21.0));
  CHECK(*reading_at(curves[0], 15.0) == Approx(4.0));
}
