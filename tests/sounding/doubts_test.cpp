// SPDX-License-Identifier: MIT
#include "published.hpp"

#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>
#include <string>

using namespace ohmroot::sounding;
using ohmroot::earth::Layer;
using ohmroot::earth::LayeredSoil;

namespace {

/// Portable normal deviate: the distributions of the standard library differ between its makers.
double normal(std::mt19937_64& random) {
  const auto uniform = [&] { return (static_cast<double>(random() >> 11U) + 0.5) * 0x1p-53; };
  return std::sqrt(-2.0 * std::log(uniform())) * std::cos(2.0 * std::numbers::pi * uniform());
}

double log_uniform(std::mt19937_64& random, double least, double greatest) {
  return least * std::pow(greatest / least, static_cast<double>(random() >> 11U) * 0x1p-53);
}

LayeredSoil random_soil(std::mt19937_64& random, std::size_t layer_count) {
  std::vector<Layer> layers;
  for (std::size_t i = 0; i < layer_count; ++i)
    layers.push_back({log_uniform(random, 10.0, 2000.0), log_uniform(random, 0.3, 5.0)});
  return LayeredSoil(layers);
}

std::vector<FourPoleReading> simulated(const LayeredSoil& soil, double spacing_ratio, double noise_ratio,
                                       std::mt19937_64& random) {
  std::vector<FourPoleReading> readings;
  for (double a_m = 0.5; a_m < 25.0; a_m *= spacing_ratio) {
    FourPoleReading reading = wenner_reading(a_m, 1.0);
    reading.resistance_ohm = modelled_apparent_resistivity_ohm_m(soil, reading) /
                             geometric_factor_m(reading) * std::exp(noise_ratio * normal(random));
    readings.push_back(reading);
  }
  return readings;
}

bool mentions(const ReadingDoubt& doubt, const std::string& words) {
  UNSCOPED_INFO(doubt.sentence);
  return doubt.sentence.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("published soundings of layered soil raise no doubt", "[sounding]") {
  using namespace published;
  for (const auto& rows : {kind_a, kind_b, kind_c, seedher_1, seedher_2, seedher_3, three_layers})
    CHECK(doubtful_readings(from_apparent(rows)).empty());
  CHECK(doubtful_readings(from_resistance(traverse_1)).empty());
  CHECK(doubtful_readings(from_resistance(traverse_2)).empty());
}

TEST_CASE("a failed sounding is caught at the spacing where its resistance grows", "[sounding]") {
  const auto doubts = doubtful_readings(published::from_apparent(published::failed));
  // 0.22, 0.09 and 0.16 ohm m besides: no soil in any list has so little
  REQUIRE(doubts.size() == 4);
  CHECK(doubts[2].reading_index == 3);
  CHECK(mentions(doubts[2], "reading 4 at a = 10.0 m lies 7.2 times what reading 3 at a = 7.00 m allows"));
  for (const std::size_t other : {0U, 1U, 3U})
    CHECK(mentions(doubts[other], "below the least of any soil"));
}

TEST_CASE("one wrong reading among good ones is named, and the way it lies off", "[sounding]") {
  auto readings = published::from_resistance(published::traverse_1);
  readings[5].resistance_ohm *= 1.5;
  readings[5].sheet_line = 12;
  auto doubts = doubtful_readings(readings);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].reading_index == 5);
  CHECK(mentions(doubts[0], "reading 6 at a = 6.00 m (line 12) lies"));
  CHECK(mentions(doubts[0], "above what its neighbours allow"));
  CHECK(mentions(doubts[0], "half a metre sideways"));

  readings[5].resistance_ohm /= 1.5 * 2.0;
  doubts = doubtful_readings(readings);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].reading_index == 5);
  CHECK(mentions(doubts[0], "below what"));
}

TEST_CASE("a row typed in ohm m among rows in ohm is recognised", "[sounding]") {
  for (const std::size_t position :
       {std::size_t{3}, std::size_t{5}, std::size_t{7}}) {  // the last one has no neighbour
    auto readings = published::from_resistance(published::traverse_2);
    readings[position].resistance_ohm = published::traverse_2[position].printed_ohm_m;
    const auto doubts = doubtful_readings(readings);
    CAPTURE(position);
    REQUIRE(doubts.size() == 1);
    CHECK(doubts[0].reading_index == position);
    CHECK(mentions(doubts[0], "in ohm m instead of ohm"));
  }
}

TEST_CASE("the growth rule knows the real MN of a Schlumberger array", "[sounding]") {
  // Over an insulating base R of a Schlumberger array with constant MN falls only as 1/AB, and where MN is
  // widened R itself grows: neither is a fault.
  const LayeredSoil soil({{50.0, 1.0}, {50000.0, 0.0}});
  std::vector<FourPoleReading> readings;
  for (const auto& [half_ab_m, half_mn_m] : std::vector<std::pair<double, double>>{
           {1, 0.3}, {2, 0.3}, {4, 0.3}, {4, 1.3}, {8, 1.3}, {16, 1.3}, {16, 5}, {32, 5}, {64, 5}}) {
    FourPoleReading reading;
    reading.array = Array::schlumberger;
    reading.half_current_spacing_m = half_ab_m;
    reading.half_potential_spacing_m = half_mn_m;
    reading.resistance_ohm = modelled_apparent_resistivity_ohm_m(soil, reading) / geometric_factor_m(reading);
    readings.push_back(reading);
  }
  CHECK(readings[3].resistance_ohm > 3.0 * readings[2].resistance_ohm);
  CHECK(doubtful_readings(readings).empty());
  readings.back().resistance_ohm *= 2.0;
  const auto doubts = doubtful_readings(readings);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].reading_index == 8);
  CHECK(mentions(doubts[0], "AB/2 = 64.0 m"));
}

TEST_CASE("two readings of one place that differ are doubted, two lines are not compared", "[sounding]") {
  auto readings = published::from_resistance(published::traverse_1);
  readings.push_back(wenner_reading(3.0, 6.52 * 1.4));
  const auto doubts = doubtful_readings(readings);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].reading_index == 8);
  CHECK(mentions(doubts[0], "40 % above what reading 4 at a = 3.00 m shows at the same place"));
  readings.back().traverse = "across";
  CHECK(doubtful_readings(readings).empty());
}

TEST_CASE("stakes deeper than a fifth of the spacing are doubted", "[sounding]") {
  FourPoleReading reading = wenner_reading(1.0, 20.0);
  reading.driven_depth_m = 0.2;
  CHECK(doubtful_readings({reading}).empty());
  reading.driven_depth_m = 0.25;
  const auto doubts = doubtful_readings({reading});
  REQUIRE(doubts.size() == 1);
  CHECK(mentions(doubts[0], "more than a fifth of the 1.00 m between them"));
}

TEST_CASE("no reading, one reading and two readings are no trouble", "[sounding]") {
  CHECK(doubtful_readings({}).empty());
  CHECK(doubtful_readings({wenner_reading(1.0, 20.0)}).empty());
  CHECK(doubtful_readings({wenner_reading(1.0, 20.0), wenner_reading(2.0, 9.0)}).empty());
}

TEST_CASE("good soundings of layered soil are nearly always silent, one of 40 % off nearly always caught",
          "[sounding][property]") {
  std::mt19937_64 random(20250114);
  int false_alarm_count = 0;
  int caught_count = 0;
  int wrongly_blamed_count = 0;
  constexpr int sheet_count = 300;
  for (int i = 0; i < sheet_count; ++i) {
    const LayeredSoil soil = random_soil(random, 2 + static_cast<std::size_t>(i % 3));
    const double spacing_ratio = i % 2 == 0 ? 1.5 : 2.0;
    if (!doubtful_readings(simulated(soil, spacing_ratio, 0.03, random)).empty()) ++false_alarm_count;

    auto readings = simulated(random_soil(random, 1), 1.5, 0.03, random);
    const std::size_t wrong = 2 + static_cast<std::size_t>(random() % (readings.size() - 4));
    readings[wrong].resistance_ohm *= 1.4;
    for (const ReadingDoubt& doubt : doubtful_readings(readings))
      ++(doubt.reading_index == wrong ? caught_count : wrongly_blamed_count);
  }
  CHECK(false_alarm_count <= sheet_count * 3 / 100);
  CHECK(caught_count >= sheet_count * 95 / 100);
  CHECK(wrongly_blamed_count <= sheet_count * 2 / 100);
}

TEST_CASE("a first reading is judged by order of magnitude and by the word for the soil", "[doubts]") {
  const auto* clay = ohmroot::earth::find_soil_word("clay");
  REQUIRE(clay != nullptr);
  // 2 pi 4 m 4 ohm is 100 ohm m: a soil, and clay
  const std::vector<FourPoleReading> good{wenner_reading(4.0, 4.0)};
  CHECK(doubtful_readings(good).empty());
  CHECK(soil_doubts(good, *clay).empty());
  CHECK(judged_words(good, 0, false).find("from the second on") != std::string::npos);
  CHECK_THROWS_AS(judged_words(good, 1, false), std::out_of_range);
  const auto too_much = doubtful_readings({wenner_reading(4.0, 4000.0)});  // 100 kohm m
  REQUIRE(too_much.size() == 1);
  CHECK(mentions(too_much.front(), "above the most of any soil"));
  const auto too_little = doubtful_readings({wenner_reading(4.0, 0.004)});  // 0.1 ohm m
  REQUIRE(too_little.size() == 1);
  CHECK(mentions(too_little.front(), "below the least of any soil"));
  // lists give clay at most 163 ohm m (US Bureau of Standards Technologic Paper 108); three times that is let pass
  CHECK(soil_doubts({wenner_reading(4.0, 19.0)}, *clay).empty());        // 478 ohm m
  const auto no_clay = soil_doubts({wenner_reading(4.0, 20.0)}, *clay);  // 503 ohm m
  REQUIRE(no_clay.size() == 1);
  CHECK(mentions(no_clay.front(), "if 2.00 ohm had been meant"));
}
