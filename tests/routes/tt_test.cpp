// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/tt.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

using namespace ohmroot;
using namespace ohmroot::routes;

namespace {

Estimate measured(double value_ohm) {
  return exactly(value_ohm, "measured");
}

const ResidualDeviceCheck& device(const TtCheck& check, double rated_a) {
  for (const ResidualDeviceCheck& one : check.devices) {
    if (one.rated_residual_current_a == rated_a) return one;
  }
  throw std::runtime_error("no device of this rating");
}

}  // namespace

TEST_CASE("greatest resistances are those of the table", "[routes][published]") {
  // BS 7671:2018 Table 41.5 as quoted in public training text: 1667, 500, 167 ohm (printed to the ohm);
  // 500 mA, 100 ohm from memory.
  const TtCheck check = check_tt(measured(72.0));
  REQUIRE(check.devices.size() == 4);
  CHECK(device(check, 0.03).greatest_resistance_ohm == Approx(1667.0).margin(0.5));
  CHECK(device(check, 0.1).greatest_resistance_ohm == 500.0);
  CHECK(device(check, 0.3).greatest_resistance_ohm == Approx(167.0).margin(0.5));
  CHECK(device(check, 0.5).greatest_resistance_ohm == 100.0);
}

TEST_CASE("half the limit halves the resistance", "[routes]") {
  const TtCheck check = check_tt(measured(72.0), 25.0);  // arithmetic on the row above
  CHECK(device(check, 0.1).greatest_resistance_ohm == 250.0);
  CHECK(device(check, 0.5).greatest_resistance_ohm == 50.0);
  CHECK_FALSE(device(check, 0.5).is_met);
  CHECK(check.source.back().find("25 V") != std::string::npos);
}

TEST_CASE("worked products come out as printed", "[routes][published]") {
  // Worked examples of a public training text: 95 ohm at 30 mA 2.85 V, 85 ohm at 30 mA 2.55 V, 35 ohm at
  // 100 mA 3.5 V, all within 50 V.
  CHECK(device(check_tt(measured(95.0)), 0.03).product_v == Approx(2.85));
  CHECK(device(check_tt(measured(85.0)), 0.03).product_v == Approx(2.55));
  CHECK(device(check_tt(measured(35.0)), 0.1).product_v == Approx(3.5));
  CHECK(device(check_tt(measured(95.0)), 0.03).is_met);
  CHECK(device(check_tt(measured(35.0)), 0.1).is_met);
}

TEST_CASE("200 ohm admits a residual current of 250 mA and is just stable", "[routes][published]") {
  // On-Site Guide example quoted on a public forum.
  const TtCheck check = check_tt(measured(200.0));
  CHECK(check.greatest_rated_current_a == Approx(0.25));
  CHECK(check.is_stable);
  CHECK(device(check, 0.1).is_met);
  CHECK_FALSE(device(check, 0.3).is_met);
  CHECK_FALSE(check_tt(measured(200.1)).is_stable);
}

TEST_CASE("the upper end of the interval decides", "[routes]") {
  const TtCheck check = check_tt({150.0, 120.0, 180.0, "measured, 90 %"});
  CHECK(device(check, 0.3).product_v == Approx(54.0));
  CHECK_FALSE(device(check, 0.3).is_met);
  CHECK(check_tt(measured(50.0 / 0.3)).devices[2].is_met);  // on the bound is within it
}

TEST_CASE("a TT check refuses a resistance that is none", "[routes]") {
  for (const double bad : {0.0, -1.0, std::nan(""), std::numeric_limits<double>::infinity()}) {
    CHECK_THROWS_AS(check_tt(measured(bad)), DomainError);
    CHECK_THROWS_AS(check_tt(measured(10.0), bad), DomainError);
  }
}
