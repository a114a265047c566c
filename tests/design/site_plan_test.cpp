// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/site_plan.hpp>

#include <catch2/catch.hpp>

#include <algorithm>

using namespace ohmroot;
using namespace ohmroot::design;

namespace {
SitePlan garden() {
  SitePlan plan;
  plan.land = {{0, 0}, {6, 0}, {6, 4}, {0, 4}};
  plan.depth_m = 3;
  plan.boundary_clearance_m = 0.5;
  return plan;
}
}  // namespace

// Expected numbers of places counted by hand on squared paper.
TEST_CASE("places stand on the grid of the origin, off boundary and keep-outs", "[design]") {
  SitePlan plan = garden();
  CHECK(free_places(plan).size() == 5 * 3);  // x 1..5, y 1..3
  plan.keep_outs = {{"shed", {{1.5, 1.5}, {3.5, 1.5}, {3.5, 3.5}, {1.5, 3.5}}, 0.0}};
  CHECK(free_places(plan).size() == 15 - 4);
  plan.keep_outs[0].clearance_m = 0.5;  // exactly at the clearance is free
  CHECK(free_places(plan).size() == 15 - 4);
  plan.keep_outs[0].clearance_m = 0.6;  // the rows and columns half a metre off go too
  CHECK(free_places(plan).size() ==
        15 - 4 - 6);  // 2 to the left, 2 to the right, 2 below; the corner is 0.71 m off
}

TEST_CASE("more land adds places and moves none", "[design]") {
  SitePlan plan = garden();
  const auto before = free_places(plan);
  plan.land = {{-0.7, -0.4}, {8.1, -0.4}, {8.1, 5.3}, {-0.7, 5.3}};
  const auto after = free_places(plan);
  for (const PlanPoint& place : before)
    CHECK(std::any_of(after.begin(), after.end(),
                      [&](const PlanPoint& p) { return p.x_m == place.x_m && p.y_m == place.y_m; }));
  CHECK(after.size() > before.size());
}

TEST_CASE("ways may not cross a keep-out nor leave the land", "[design]") {
  SitePlan plan = garden();
  plan.land = {{0, 0}, {6, 0}, {6, 6}, {4, 6}, {4, 2}, {0, 2}};  // an L
  CHECK_FALSE(is_free(plan, {{1, 1}, {5, 5}}));                  // across the inner corner
  CHECK(is_free(plan, {{1, 1}, {5, 1}}));
  plan.keep_outs = {{"drain", {{2.9, -1}, {3.1, -1}, {3.1, 7}, {2.9, 7}}, 0.3}};
  CHECK_FALSE(is_free(plan, {{1, 1}, {5, 1}}));
}

TEST_CASE("the boundary loop stands at the clearance, and is refused where it cannot", "[design]") {
  SitePlan plan = garden();
  const auto loop = boundary_loop(plan);
  REQUIRE(loop);
  CHECK(perimeter_m(*loop) == Approx(2 * (5 + 3)));
  plan.boundary_clearance_m = 2.5;  // wider than half the land
  CHECK_FALSE(boundary_loop(plan));
}

TEST_CASE("bad land gets a clear error", "[design]") {
  SitePlan plan = garden();
  plan.land = {{0, 0}, {4, 4}, {4, 0}, {0, 4}};
  CHECK_THROWS_WITH(free_places(plan), Catch::Contains("cross"));
  plan = garden();
  plan.keep_outs = {{"all", {{-1, -1}, {9, -1}, {9, 9}, {-1, 9}}, 0}};
  CHECK_THROWS_WITH(free_places(plan), Catch::Contains("at least one"));
  plan = garden();
  plan.depth_m = 0;
  CHECK_THROWS_WITH(free_places(plan), Catch::Contains("depth_m"));
  plan = garden();
  plan.keep_outs = {{"bow", {{0, 0}, {2, 2}, {2, 0}, {0, 3}}, 0}};
  CHECK_THROWS_WITH(free_places(plan), Catch::Contains("bow"));
}
