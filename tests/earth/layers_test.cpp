// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/layers.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <string>

using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

namespace {
constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
}  // namespace

TEST_CASE("the last layer reaches down without end, whatever thickness was given", "[earth]") {
  const LayeredSoil soil({{100.0, 2.0}, {25.0, 7.0}});
  CHECK_FALSE(soil.is_uniform());
  CHECK(soil.layers()[0].thickness_m == 2.0);
  CHECK(std::isinf(soil.layers()[1].thickness_m));
  CHECK(LayeredSoil(80.0).is_uniform());
  CHECK(std::isinf(LayeredSoil(80.0).layers()[0].thickness_m));
}

TEST_CASE("least and greatest resistivity look at every layer, the half-space included", "[earth]") {
  const LayeredSoil soil({{120.0, 0.5}, {30.0, 1.5}, {500.0, 0.0}});
  CHECK(soil.least_resistivity_ohm_m() == 30.0);
  CHECK(soil.greatest_resistivity_ohm_m() == 500.0);
}

TEST_CASE("soil without a layer, or with a layer that cannot exist, is refused by name", "[earth]") {
  CHECK_THROWS_AS(LayeredSoil(std::vector<ohmroot::earth::Layer>{}), DomainError);
  for (const double bad : {0.0, -5.0, nan_value, infinity}) {
    CHECK_THROWS_AS(LayeredSoil(bad), DomainError);
    CHECK_THROWS_AS(LayeredSoil({{100.0, bad}, {20.0, 1.0}}), DomainError);
    CHECK_THROWS_AS(LayeredSoil({{100.0, 1.0}, {bad, 1.0}}), DomainError);
  }
  try {
    LayeredSoil({{100.0, 1.0}, {50.0, 0.0}, {20.0, 0.0}});
    FAIL("a layer of no thickness was taken");
  } catch (const DomainError& error) {
    CHECK(error.argument() == "layers[1].thickness_m");
    CHECK(std::string(error.what()).find("greater than 0") != std::string::npos);
  }
}
