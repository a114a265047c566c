// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/land.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using ohmroot::study::LandCorner;

TEST_CASE("a rectangle at any angle is its own smallest enclosing rectangle", "[study][property]") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> angle(0.0, 6.28);
  for (int draw = 0; draw < 200; ++draw) {
    const double c = std::cos(angle(random)), s = std::sqrt(1 - c * c);
    std::vector<LandCorner> corners;
    for (const auto& [x, y] : {std::pair{0.0, 0.0}, {12.0, 0.0}, {12.0, 8.0}, {0.0, 8.0}}) {
      corners.push_back({x * c - y * s + 3, x * s + y * c - 5});
    }
    const auto volume = ohmroot::study::enclosing_volume({corners, 3.0});
    CHECK(volume.length_m == Approx(12.0));
    CHECK(volume.width_m == Approx(8.0));
    CHECK(volume.depth_m == 3.0);
    CHECK(ohmroot::design::perimeter_m(corners) == Approx(40.0));
  }
}

TEST_CASE("the enclosing rectangle of an L holds all of it", "[study]") {
  const std::vector<LandCorner> corners{{0, 0}, {30, 0}, {30, 14}, {12, 14}, {12, 18}, {0, 18}};
  const auto volume = ohmroot::study::enclosing_volume({corners, 4.8});
  CHECK(volume.length_m == Approx(30.0));
  CHECK(volume.width_m == Approx(18.0));
}

TEST_CASE("what bounds no land is said", "[study]") {
  using ohmroot::design::polygon_problem;
  CHECK_THAT(polygon_problem({{0, 0}, {1, 0}}), Catch::Contains("three corners"));
  CHECK_THAT(polygon_problem({{0, 0}, {4, 4}, {4, 0}, {0, 4}}), Catch::Contains("cross"));
  CHECK_THAT(polygon_problem({{0, 0}, {1, 0}, {2, 0}}), Catch::Contains("no area"));
  CHECK(polygon_problem({{0, 0}, {1, 0}, {1, 1}}).empty());
  CHECK_THROWS_AS(ohmroot::study::enclosing_volume({{{0, 0}, {1, 0}}, 1.0}), ohmroot::DomainError);
}
