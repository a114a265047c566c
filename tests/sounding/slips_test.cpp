// SPDX-License-Identifier: MIT
// Slips of the pen and of the leads, repeats and polarities: named where they are, silent on good data.
#include "published.hpp"
#include "random_soil.hpp"

#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

using namespace ohmroot::sounding;
using ohmroot::earth::LayeredSoil;
using test::Random;

namespace {

/// To three digits, as testers show it.
double shown(double value_ohm) {
  const double unit = std::pow(10.0, std::floor(std::log10(value_ohm)) - 2.0);
  return std::round(value_ohm / unit) * unit;
}

std::vector<FourPoleReading> sounding(const LayeredSoil& soil, Random& random,
                                      const std::function<FourPoleReading(double)>& array) {
  std::vector<FourPoleReading> readings;
  for (double a_m = 0.5; a_m < 20.0; a_m *= 1.6) {
    FourPoleReading reading = array(a_m);
    reading.resistance_ohm = shown(modelled_apparent_resistivity_ohm_m(soil, reading) /
                                   geometric_factor_m(reading) * std::exp(0.03 * random.normal()));
    reading.relative_error_ratio = 0.03;
    readings.push_back(reading);
  }
  return readings;
}

FourPoleReading wenner(double a_m) {
  return wenner_reading(a_m, 1.0);
}

FourPoleReading schlumberger(double a_m) {
  FourPoleReading reading;
  reading.array = Array::schlumberger;
  reading.half_current_spacing_m = 2.0 * a_m;
  reading.half_potential_spacing_m = a_m < 3.0 ? 0.25 : 1.5;
  return reading;
}

FourPoleReading beta(double a_m) {
  return wenner_reading_of(Array::wenner_beta, a_m, 1.0);
}

FourPoleReading gamma_order(double a_m) {
  return wenner_reading_of(Array::wenner_gamma, a_m, 1.0);
}

FourPoleReading dipoles(double a_m) {
  return dipole_dipole_reading({1.0, a_m + 0.5}, 1.0);
}

bool is_said(const std::vector<ReadingDoubt>& doubts, std::size_t index, const std::string& words) {
  for (const ReadingDoubt& doubt : doubts)
    UNSCOPED_INFO(doubt.reading_index + 1 << ": " << doubt.sentence);
  return std::any_of(doubts.begin(), doubts.end(), [&](const ReadingDoubt& doubt) {
    return doubt.reading_index == index && doubt.sentence.find(words) != std::string::npos;
  });
}

}  // namespace

TEST_CASE("good soundings of every array, shown to three digits, stay silent", "[sounding][property]") {
  const struct {
    const char* name;
    FourPoleReading (*array)(double);
  } arrays[] = {{"Wenner", wenner},
                {"beta", beta},
                {"gamma", gamma_order},
                {"Schlumberger", schlumberger},
                {"dipole-dipole", dipoles}};
  constexpr int sounding_count = 200;
  for (const auto& [name, array] : arrays) {
    Random random(4401);
    int false_alarm_count = 0;
    int judged_count = 0;
    for (int i = 0; i < sounding_count; ++i) {
      const LayeredSoil soil = test::random_soil(random, 1 + static_cast<std::size_t>(i % 4));
      const auto readings = sounding(soil, random, array);
      const bool is_real = std::all_of(readings.begin(), readings.end(), [](const FourPoleReading& r) {
        return r.resistance_ohm > 0.0;  // differences of differences may turn their sign
      });
      if (!is_real) continue;
      ++judged_count;
      if (!doubtful_readings(readings).empty()) ++false_alarm_count;
    }
    INFO(name << ": " << false_alarm_count << " false alarms in " << judged_count);
    CHECK(judged_count > sounding_count / 2);
    CHECK(false_alarm_count <= judged_count * 3 / 100);
  }
}

TEST_CASE("a slipped decimal mark is caught and named", "[sounding][property]") {
  Random random(4402);
  constexpr int sheet_count = 200;
  int named_count = 0;
  for (int i = 0; i < sheet_count; ++i) {
    auto readings = sounding(test::random_soil(random, 1 + static_cast<std::size_t>(i % 3)), random, wenner);
    const std::size_t wrong = 1 + random.below(readings.size() - 2);
    readings[wrong].resistance_ohm *= i % 2 == 0 ? 10.0 : 0.1;
    if (is_said(doubtful_readings(readings), wrong, "decimal mark had slipped")) ++named_count;
  }
  CHECK(named_count >= sheet_count * 85 / 100);
}

TEST_CASE("one reading with the leads in the order B-A-M-N is caught and named", "[sounding]") {
  auto readings = published::from_resistance(published::traverse_1);
  readings[4].resistance_ohm /= 3.0;
  CHECK(is_said(doubtful_readings(readings), 4, "leads had been in the order B-A-M-N"));
}

TEST_CASE("two rows exchanged are told from two bad readings", "[sounding][property]") {
  Random random(4403);
  constexpr int sheet_count = 100;
  int named_count = 0;
  for (int i = 0; i < sheet_count; ++i) {
    auto readings = sounding(test::random_soil(random, 1 + static_cast<std::size_t>(i % 3)), random, wenner);
    const std::size_t first = 1 + random.below(readings.size() - 3);
    std::swap(readings[first].resistance_ohm, readings[first + 1].resistance_ohm);
    const auto doubts = doubtful_readings(readings);
    if (is_said(doubts, first, "exchanged with") || is_said(doubts, first + 1, "exchanged with"))
      ++named_count;
  }
  CHECK(named_count >= sheet_count * 85 / 100);
}

TEST_CASE("a copied cell is caught, equal neighbours over rock are not", "[sounding]") {
  auto readings = published::from_resistance(published::traverse_1);
  readings[3].resistance_ohm = readings[2].resistance_ohm;  // 10.96 at 2 and at 3 m
  CHECK(is_said(doubtful_readings(readings), 3, "shows the very same 11.0 ohm as reading 3"));
  // Far over an insulating base R of a Wenner array no longer falls (2 ln 2 a / S).
  const LayeredSoil rock({{50.0, 0.5}, {1e6, 0.0}});
  std::vector<FourPoleReading> good;
  for (const double a_m : {4.0, 6.0, 9.0, 13.0, 20.0}) {
    good.push_back(wenner_reading(a_m, 1.0));
    good.back().resistance_ohm =
        shown(modelled_apparent_resistivity_ohm_m(rock, good.back()) / geometric_factor_m(good.back()));
  }
  REQUIRE(good[1].resistance_ohm == good[2].resistance_ohm);
  CHECK(doubtful_readings(good).empty());
}

TEST_CASE("repeats and polarities that agree are silent, others are not", "[sounding][property]") {
  Random random(4404);
  int false_alarm_count = 0;
  constexpr int reading_count = 1000;
  for (int i = 0; i < reading_count; ++i) {
    FourPoleReading reading = wenner_reading(2.0, 0.0);
    const std::size_t repeat_count = 2 + random.below(6);
    for (std::size_t k = 0; k < repeat_count; ++k) {
      reading.repeats_ohm.push_back(10.0 * std::exp(0.03 * random.normal()));
      reading.resistance_ohm += reading.repeats_ohm.back() / static_cast<double>(repeat_count);
    }
    reading.polarity = {10.0 * std::exp(0.03 * random.normal()), 10.0 * std::exp(0.03 * random.normal())};
    if (!doubtful_readings({reading}).empty()) ++false_alarm_count;
  }
  CHECK(false_alarm_count <= reading_count / 100);
  FourPoleReading bad = wenner_reading(2.0, 10.0);
  bad.repeats_ohm = {8.0, 10.0, 12.0};
  CHECK(is_said(doubtful_readings({bad}), 0, "scatters by 20 % over its 3 repeats"));
  bad.repeats_ohm.clear();
  bad.polarity = {12.0, 8.0};
  CHECK(is_said(doubtful_readings({bad}), 0, "40 % apart"));
}
