// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/repeats.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot::sounding;

TEST_CASE("readings of one place are one: the mean, its error no less than stated", "[repeats]") {
  FourPoleReading first = wenner_reading(2.0, 9.0);
  FourPoleReading second = wenner_reading(2.0, 11.0);
  second.relative_error_ratio = 0.04;
  FourPoleReading hedge = wenner_reading(2.0, 30.0);
  hedge.traverse = "hedge";
  FourPoleReading deep = wenner_reading(2.0, 9.0);
  deep.driven_depth_m = 0.2;
  const JoinedReadings joined = joined_repeats({first, wenner_reading(4.0, 5.0), second, hedge, deep});
  REQUIRE(joined.readings.size() == 4);
  CHECK(joined.parts.front() == std::vector<std::size_t>{0, 2});
  CHECK(joined.readings[0].resistance_ohm == 10.0);
  CHECK(joined.readings[0].repeats_ohm == std::vector<double>{9.0, 11.0});
  // by hand: scatter of 9 and 11 about 10 is sqrt(2) / 10, of their mean 0.1; least stated error 4 %
  CHECK(joined.readings[0].relative_error_ratio == Approx(std::hypot(0.04, 0.1)));
  CHECK(joined.readings[1].resistance_ohm == 5.0);
  CHECK(joined.readings[1].repeats_ohm.empty());
  CHECK(joined_repeats({}).readings.empty());
}

TEST_CASE("agreeing repeats do not buy what stakes and tester have in common", "[repeats]") {
  std::vector<FourPoleReading> many(10, wenner_reading(2.0, 9.0));
  const JoinedReadings joined = joined_repeats(many);
  REQUIRE(joined.readings.size() == 1);
  CHECK(joined.readings.front().relative_error_ratio == Approx(0.05));
}
