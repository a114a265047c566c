// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/arms_reach.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

using namespace ohmroot;
using namespace ohmroot::routes;
using electrode::Outline;

namespace {

const Outline bay{{0.0, 0.0}, 5.0, 2.4, 0.0};

ReachFinding post(double x_m, double y_m, const Outline& outline = bay) {
  return check_arms_reach(outline, {{"lamp post", {x_m, y_m}, {x_m, y_m}}}).front();
}

}  // namespace

TEST_CASE("arm's reach counts from wherever the vehicle can stand", "[routes][reach]") {
  // 2.5 m: arm's reach (BS 7671 Part 2, from memory); from the outline: plane geometry.
  CHECK(post(5.0, 0.0).distance_m == Approx(2.5).epsilon(1e-12));
  CHECK(post(5.0, 0.0).is_within);  // at it
  CHECK_FALSE(post(5.001, 0.0).is_within);
  CHECK(post(4.0, 3.2).distance_m == Approx(2.5).epsilon(1e-12));  // 1.5 and 2 off the corner
  CHECK(post(1.0, -1.0).distance_m == 0.0);
  CHECK(post(0.0, -3.6).distance_m == Approx(2.4).epsilon(1e-12));
  const Outline turned{{10.0, 10.0}, 5.0, 2.4, 90.0};
  CHECK(post(10.0, 14.0, turned).distance_m == Approx(1.5).epsilon(1e-12));
  CHECK(post(13.0, 10.0, turned).distance_m == Approx(1.8).epsilon(1e-12));
}

TEST_CASE("a fence is judged by its nearest place", "[routes][reach]") {
  const auto fence = [](double from_x_m, double from_y_m, double to_x_m, double to_y_m) {
    return check_arms_reach(bay, {{"fence", {from_x_m, from_y_m}, {to_x_m, to_y_m}}}).front();
  };
  CHECK(fence(-50.0, 3.0, 80.0, 3.0).distance_m == Approx(1.8).epsilon(1e-9));
  CHECK(fence(-50.0, -4.0, 300.0, -4.0).distance_m == Approx(2.8).epsilon(1e-9));
  CHECK(fence(-3.0, -40.0, 4.0, 40.0).distance_m == 0.0);  // across the bay
  // The line x + y = 7 against the corner (2.5, 1.2).
  CHECK(fence(0.0, 7.0, 7.0, 0.0).distance_m == Approx(3.3 / std::sqrt(2.0)).epsilon(1e-7));
  CHECK(fence(0.0, 7.0, 7.0, 0.0).is_within);
  CHECK(fence(3.0, 0.0, 90.0, 0.0).distance_m == Approx(0.5).epsilon(1e-12));  // nearest at an end
}

TEST_CASE("height puts metal out of reach only above it", "[routes][reach]") {
  const auto findings = check_arms_reach(bay, {{"eaves", {0.0, 2.0}, {0.0, 2.0}, 2.6},
                                               {"sign", {0.0, 2.0}, {0.0, 2.0}, 2.5},
                                               {"gate", {0.0, 9.0}, {3.0, 9.0}}});
  REQUIRE(findings.size() == 3);
  CHECK_FALSE(findings[0].is_within);
  CHECK(findings[0].sentence.find("by its height alone") != std::string::npos);
  CHECK(findings[1].is_within);
  CHECK(findings[1].sentence.find("0.800 m") != std::string::npos);
  CHECK_FALSE(findings[2].is_within);
  CHECK(findings[2].sentence.find("gate is out of arm's reach: 7.8") == 0);
  CHECK(check_arms_reach(bay, {}).empty());
  CHECK_FALSE(check_arms_reach(bay, {{"post", {4.0, 0.0}, {4.0, 0.0}}}, {1.0}).front().is_within);
}

TEST_CASE("reach refuses what it cannot mean", "[routes][reach]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(post(nan, 0.0), DomainError);
  CHECK_THROWS_AS(post(0.0, 0.0, {{0.0, 0.0}, -1.0, 2.0}), DomainError);
  CHECK_THROWS_AS(check_arms_reach(bay, {}, {0.0}), DomainError);
  CHECK_THROWS_AS(check_arms_reach(bay, {{"post", {0.0, 0.0}, {0.0, 0.0}, -1.0}}), DomainError);
}
