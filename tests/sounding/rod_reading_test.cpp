// SPDX-License-Identifier: MIT
#include "random_soil.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace ohmroot::sounding;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;

namespace {

DrivenRodReading rod_at(double length_m, double resistance_ohm = 1.0) {
  DrivenRodReading reading;
  reading.driven_length_m = length_m;
  reading.diameter_m = 0.016;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

bool mentions(const std::string& sentence, const std::string& words) {
  UNSCOPED_INFO(sentence);
  return sentence.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("in uniform soil a rod shows what the formula for uniform soil says", "[sounding]") {
  // R = rho (ln(8 l / d) - 1) / (2 pi l), IEEE 80-2000 cl. 13.3 (from memory), about 1 % above the exact rod.
  for (const double length_m : {1.2, 2.4, 4.8}) {
    const double formula_ohm =
        100.0 * (std::log(8.0 * length_m / 0.016) - 1.0) / (2.0 * std::numbers::pi * length_m);
    const RodModel model = modelled_rod_resistance(LayeredSoil(100.0), rod_at(length_m));
    CHECK(model.is_converged);
    CHECK(model.resistance_ohm == Approx(formula_ohm).epsilon(0.02));
    CHECK(uniform_equivalent_ohm_m(rod_at(length_m, model.resistance_ohm)) == Approx(100.0).epsilon(0.02));
  }
}

TEST_CASE("in layers the rod feels the layer it crosses, which the uniform formula cannot tell",
          "[sounding]") {
  const LayeredSoil soil({{300.0, 1.5}, {30.0, 0.0}});
  const double above_ohm = modelled_rod_resistance(soil, rod_at(1.2)).resistance_ohm;
  const double across_ohm = modelled_rod_resistance(soil, rod_at(2.4)).resistance_ohm;
  CHECK(across_ohm < 0.4 * above_ohm);  // uniform soil: 0.55
  const double equivalent_ohm_m = uniform_equivalent_ohm_m(rod_at(2.4, across_ohm));
  CHECK(equivalent_ohm_m > 30.0);
  CHECK(equivalent_ohm_m < 300.0);
}

TEST_CASE("the potential stake at 61.8 % of the way shows the rod's own resistance in uniform soil",
          "[sounding]") {
  // Tagg, Earth Resistances, 1964 (from memory): exact for a hemisphere, 1/p + 1/(c - p) = 1 + 1/c at p = 0.618 c.
  DrivenRodReading reading = rod_at(1.2);
  const double own_ohm = modelled_rod_resistance(LayeredSoil(100.0), reading).resistance_ohm;
  reading.current_stake_distance_m = 60.0;
  reading.potential_stake_distance_m = 0.618034 * 60.0;
  CHECK(modelled_rod_resistance(LayeredSoil(100.0), reading).resistance_ohm == Approx(own_ohm).epsilon(1e-3));
  reading.potential_stake_distance_m = 30.0;
  const double half_way_ohm = modelled_rod_resistance(LayeredSoil(100.0), reading).resistance_ohm;
  const double point_effect_ohm = 100.0 / (2.0 * std::numbers::pi) * (1.0 / 30 - 1.0 / 30 - 1.0 / 60);
  CHECK(half_way_ohm - own_ohm == Approx(point_effect_ohm).epsilon(0.01));
  reading.current_stake_distance_m = 20.0;
  CHECK_THROWS_AS(modelled_rod_resistance(LayeredSoil(100.0), reading), DomainError);
}

TEST_CASE("a rod driven into any layers raises no doubt, a joint that fails does", "[sounding][property]") {
  test::Random random(4201);
  int false_alarm_count = 0;
  constexpr int rod_count = 60;
  for (int i = 0; i < rod_count; ++i) {
    const LayeredSoil soil = test::random_soil(random, 1 + static_cast<std::size_t>(i % 3));
    std::vector<DrivenRodReading> readings;
    for (const double length_m : {1.2, 2.4, 3.6, 4.8}) {
      readings.push_back(rod_at(length_m));
      readings.back().resistance_ohm = modelled_rod_resistance(soil, readings.back(), {0.01}).resistance_ohm *
                                       std::exp(0.03 * random.normal());
      readings.back().relative_error_ratio = 0.03;
    }
    for (const RodDoubt& doubt : doubtful_rod_readings(readings)) {
      // A drop can be a layer: the sentence asks to stop, and says 'may'.
      if (!mentions(doubt.sentence, "may have struck")) ++false_alarm_count;
    }
    readings[2].resistance_ohm = 1.5 * readings[1].resistance_ohm;
    const auto doubts = doubtful_rod_readings(readings);
    REQUIRE_FALSE(doubts.empty());
    CHECK(doubts.front().reading_index <= 2);
  }
  CHECK(false_alarm_count <= 1);
}

TEST_CASE("sections are judged per rod, growth and sudden drops in words that can be acted on",
          "[sounding]") {
  std::vector<DrivenRodReading> readings{rod_at(1.2, 80.0), rod_at(2.4, 110.0), rod_at(3.6, 20.0)};
  readings[1].sheet_line = 7;
  const auto doubts = doubtful_rod_readings(readings);
  REQUIRE(doubts.size() == 2);
  CHECK(mentions(doubts[0].sentence, "rod at 2.40 m (line 7) shows 37 % more than rod at 1.20 m"));
  CHECK(mentions(doubts[0].sentence, "check the clip"));
  CHECK(mentions(doubts[1].sentence, "5.5 times less"));
  CHECK(mentions(doubts[1].sentence, "stop driving"));
  readings[0].rod.assign(1, 'A');
  readings[1].rod.assign(1, 'B');
  readings[2].rod.assign(1, 'C');
  CHECK(doubtful_rod_readings(readings).empty());
  readings[0].diameter_m = 0.0;
  CHECK_THROWS_AS(doubtful_rod_readings(readings), DomainError);
  CHECK_THROWS_AS(modelled_rod_resistance(LayeredSoil(100.0), readings[0]), DomainError);
}
