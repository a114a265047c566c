// SPDX-License-Identifier: MIT
#include "published.hpp"
#include "random_soil.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/soundness.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot::sounding;
using ohmroot::earth::LayeredSoil;
using test::Random;

namespace {

double noisy_ohm(const LayeredSoil& soil, const FourPoleReading& reading, Random& random) {
  return modelled_apparent_resistivity_ohm_m(soil, reading) / geometric_factor_m(reading) *
         std::exp(0.03 * random.normal());
}

std::vector<FourPoleReading> line(const LayeredSoil& soil, const std::string& name, double factor_ratio,
                                  double first_m, Random& random) {
  std::vector<FourPoleReading> readings;
  for (double a_m = first_m; a_m < 20.0; a_m *= 1.6) {
    FourPoleReading reading = wenner_reading(a_m, 1.0);
    reading.resistance_ohm = factor_ratio * noisy_ohm(soil, reading, random);
    reading.traverse = name;
    reading.relative_error_ratio = 0.03;
    readings.push_back(reading);
  }
  return readings;
}

std::vector<FourPoleReading> both(std::vector<FourPoleReading> one,
                                  const std::vector<FourPoleReading>& other) {
  one.insert(one.end(), other.begin(), other.end());
  return one;
}

/// AB/2 3 to 10 m with a short MN, 8 to 30 m with a long one.
std::vector<FourPoleReading> segments(const LayeredSoil& soil, double shift_ratio, Random& random) {
  std::vector<FourPoleReading> readings;
  const std::pair<double, double> places_m[] = {{3, 0.5}, {5, 0.5},  {8, 0.5},  {10, 0.5},
                                                {8, 2.5}, {10, 2.5}, {15, 2.5}, {30, 2.5}};
  for (const auto& [half_ab_m, half_mn_m] : places_m) {
    FourPoleReading reading;
    reading.array = Array::schlumberger;
    reading.half_current_spacing_m = half_ab_m;
    reading.half_potential_spacing_m = half_mn_m;
    reading.resistance_ohm = (half_mn_m > 1.0 ? shift_ratio : 1.0) * noisy_ohm(soil, reading, random);
    reading.relative_error_ratio = 0.03;
    readings.push_back(reading);
  }
  return readings;
}

bool mentions(const std::string& sentence, const std::string& words) {
  UNSCOPED_INFO(sentence);
  return sentence.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("two lines over the same layers agree, a constant factor and a changed ground are told",
          "[sounding][property]") {
  Random random(4301);
  constexpr int pair_count = 300;
  int false_alarm_count = 0;
  int factor_count = 0;
  int disagreement_count = 0;
  for (int i = 0; i < pair_count; ++i) {
    const LayeredSoil soil = test::random_soil(random, 1 + static_cast<std::size_t>(i % 4));
    const auto first = line(soil, "along", 1.0, 0.5, random);
    const double start_m = i % 2 == 0 ? 0.5 : 0.7;
    if (!traverse_remarks(both(first, line(soil, "across", 1.1, start_m, random))).empty())
      ++false_alarm_count;
    const auto factor =
        traverse_remarks(both(first, line(soil, "across", i % 3 == 0 ? 2.0 : 3.0, 0.5, random)));
    if (factor.size() == 1 && mentions(factor[0].sentence, "constant factor")) ++factor_count;
    const auto other = traverse_remarks(both(first, line(soil, "across", 1.6, 0.5, random)));
    if (other.size() == 1 && mentions(other[0].sentence, "sideways")) ++disagreement_count;
  }
  INFO(false_alarm_count << " false, " << factor_count << " factors, " << disagreement_count << " lines of "
                         << pair_count);
  CHECK(false_alarm_count <= pair_count / 100);
  CHECK(factor_count >= pair_count * 95 / 100);
  CHECK(disagreement_count >= pair_count * 95 / 100);
}

TEST_CASE("published traverses of one site agree", "[sounding]") {
  auto first = published::from_resistance(published::traverse_1);
  for (FourPoleReading& reading : first)
    reading.traverse.assign(1, '1');
  CHECK(traverse_remarks(both(first, published::from_resistance(published::traverse_2))).empty());
  CHECK(traverse_remarks(first).empty());
  CHECK(traverse_remarks({}).empty());
}

TEST_CASE("a spacing plan is judged against the electrode", "[sounding]") {
  const auto plan = [](const std::vector<double>& spacings_m) {
    std::vector<FourPoleReading> readings;
    for (const double a_m : spacings_m)
      readings.push_back(wenner_reading(a_m, 1.0));
    return readings;
  };
  // The plan of a substation manual (App. B.2.3, table B-3): nothing to say for a rod of 6 m.
  const std::vector<double> manual_m{1, 1.5, 2, 3, 4.5, 6, 9, 13.5};
  CHECK(plan_remarks(plan(manual_m), {6.0, 0.0}).empty());
  CHECK(plan_remarks(plan({0.5, 1, 2, 4, 8}), {2.4, 6.0}).empty());
  const auto short_line = plan_remarks(plan({0.5, 1, 2, 4, 8}), {6.0, 0.0});
  REQUIRE(short_line.size() == 1);
  CHECK(mentions(short_line[0].sentence, "8.00 m, looks about 4.15 m deep and the electrode goes to 6.00 m"));
  CHECK(mentions(short_line[0].sentence, "11.6 m"));
  const auto narrow = plan_remarks(plan(manual_m), {2.4, 20.0});
  REQUIRE(narrow.size() == 1);
  CHECK(mentions(narrow[0].sentence, "from end to end"));
  const auto coarse = plan_remarks(plan({0.5, 1, 2, 8, 16}), {2.4, 0.0});
  REQUIRE(coarse.size() == 1);
  CHECK(mentions(coarse[0].sentence, "between spacings of 2.00 m and 8.00 m: add one near 4"));
  const auto late = plan_remarks(plan({4, 6, 8, 12, 16}), {2.4, 0.0});
  REQUIRE(late.size() == 1);
  CHECK(mentions(late[0].sentence, "top of the ground"));
  CHECK(plan_remarks(plan({1, 2, 4, 8}), {2.4, 0.0}).size() == 1);
  CHECK(plan_remarks({}, {2.4, 0.0}).empty());
  CHECK_THROWS_AS(plan_remarks(plan(manual_m), {0.0, 0.0}), ohmroot::DomainError);
}

TEST_CASE("a step of MN that the layers predict is told apart from a lateral shift", "[sounding][property]") {
  Random random(4302);
  constexpr int sounding_count = 300;
  int false_count = 0;
  int caught_count = 0;
  double greatest_step = 0.0;
  for (int i = 0; i < sounding_count; ++i) {
    const LayeredSoil soil = test::random_soil(random, 1 + static_cast<std::size_t>(i % 4));
    const auto good = segment_steps(segments(soil, 1.0, random), soil);
    REQUIRE(good.size() == 1);
    CHECK(good[0].overlap_count == 2);
    if (good[0].is_lateral) ++false_count;
    greatest_step = std::max(greatest_step, std::abs(std::log(good[0].predicted_ratio)));
    const auto shifted = segment_steps(segments(soil, 1.25, random), soil);
    if (shifted[0].is_lateral && mentions(shifted[0].sentence, "move them sideways")) ++caught_count;
  }
  CHECK(greatest_step > 0.1);  // the layers alone step by more than what is left may be
  CHECK(false_count <= sounding_count / 100);
  CHECK(caught_count >= sounding_count * 95 / 100);
  CHECK(segment_steps(published::from_resistance(published::traverse_1), LayeredSoil(100.0)).empty());
}
