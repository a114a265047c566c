// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/spacing_plan.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace ohmroot;
using namespace ohmroot::sounding;

TEST_CASE("a plan reaches the depth of the electrode where the land allows it", "[plan]") {
  for (const double depth_m : {0.3, 0.6, 1.2, 2.4, 6.0, 12.0, 30.0}) {
    INFO(depth_m);
    const SpacingPlan plan = plan_spacings({depth_m, 0.0}, {1e4});
    REQUIRE(plan.spacings.size() >= 5);
    CHECK(plan.reaches_depth);
    // Half of a Wenner reading comes from above 0.519 a (Edwards, Geophysics 42 (1977) 1020, from memory).
    CHECK(0.519 * plan.spacings.back().spacing_m >= 0.999 * depth_m);
    CHECK(plan.spacings.back().median_depth_m < 2.0 * depth_m + 0.5);
    // The checks of the sounding as a whole have nothing against it.
    std::vector<FourPoleReading> readings;
    for (const PlannedSpacing& planned : plan.spacings)
      readings.push_back(wenner_reading(planned.spacing_m, 10.0 / planned.spacing_m));
    for (const SoundingRemark& remark : plan_remarks(readings, {depth_m, 0.0}))
      FAIL_CHECK(remark.sentence);
  }
}

TEST_CASE("stakes stand where a Wenner array has them, on the land that there is", "[plan]") {
  for (const double land_m : {3.0, 10.0, 30.0, 31.7, 200.0}) {
    INFO(land_m);
    const SpacingPlan plan = plan_spacings({6.0, 0.0}, {land_m});
    double before_m = 0.0;
    for (const PlannedSpacing& planned : plan.spacings) {
      CHECK(planned.spacing_m > before_m);
      CHECK(planned.outer_stake_m == Approx(1.5 * planned.spacing_m));
      CHECK(planned.inner_stake_m == Approx(0.5 * planned.spacing_m));
      CHECK(2.0 * planned.outer_stake_m <= land_m * (1.0 + 1e-9));
      CHECK(planned.greatest_stake_depth_m <= 0.2 * planned.spacing_m);
      // Wenner 1915: 2 pi a.
      CHECK(planned.geometric_factor_m == Approx(2.0 * std::numbers::pi * planned.spacing_m));
      if (before_m > 0.0) CHECK(planned.spacing_m / before_m <= 1.9);
      before_m = planned.spacing_m;
    }
    // What the land allows is used, to within a decimetre of spacing.
    CHECK(3.0 * before_m >= std::min(land_m, 36.0) - 0.3);
  }
}

TEST_CASE("land that is too short is said, with what it would take", "[plan]") {
  const SpacingPlan plan = plan_spacings({6.0, 0.0}, {12.0});
  CHECK_FALSE(plan.reaches_depth);
  CHECK(plan.why.find("test rod") != std::string::npos);
  CHECK(plan_spacings({6.0, 0.0}, {36.0}).reaches_depth);
  CHECK_FALSE(plan_spacings({2.0, 20.0}, {36.0}).reaches_depth);  // extent counts, too
  CHECK(plan_spacings({2.0, 20.0}, {60.0}).reaches_depth);
}

TEST_CASE("a plan for nothing is refused", "[plan]") {
  CHECK_THROWS_AS(plan_spacings({0.0, 0.0}, {30.0}), DomainError);
  CHECK_THROWS_AS(plan_spacings({6.0, -1.0}, {30.0}), DomainError);
  CHECK_THROWS_AS(plan_spacings({6.0, 0.0}, {std::nan("")}), DomainError);
}
