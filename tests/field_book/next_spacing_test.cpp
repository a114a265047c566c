// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/next_spacing.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <sounding/random_soil.hpp>

using namespace ohmroot;
using namespace ohmroot::sounding;

namespace {

FourPoleReading candidate(double spacing_m, double error_ratio = 0.05) {
  FourPoleReading reading = wenner_reading(spacing_m, 1.0);
  reading.relative_error_ratio = error_ratio;
  return reading;
}

/// Uniform soils whose ln(resistivity) is normal.
std::vector<earth::LayeredSoil> uniform_soils(double ln_spread, std::size_t count) {
  test::Random random(7);
  std::vector<earth::LayeredSoil> soils;
  for (std::size_t i = 0; i < count; ++i)
    soils.emplace_back(100.0 * std::exp(ln_spread * random.normal()));
  return soils;
}

std::vector<double> proportional_ohm(const std::vector<earth::LayeredSoil>& soils) {
  std::vector<double> resistances_ohm;
  for (const auto& soil : soils)
    resistances_ohm.push_back(0.4 * soil.layers().front().resistivity_ohm_m);
  return resistances_ohm;
}

}  // namespace

TEST_CASE("over uniform soil the expected variance is that of two normal errors", "[next]") {
  // ln R normal with spread s, one reading of it with error e: what is left is 1 / (1 + s^2 / e^2) of the variance
  // (conjugate normal, derived by hand). Tolerance set before: 0.02 absolute, for 2000 draws.
  const auto soils = uniform_soils(0.3, 2000);
  const auto wanted_ohm = proportional_ohm(soils);
  for (const double error_ratio : {0.1, 0.3, 0.9}) {
    const NextSpacing next = next_spacing(soils, wanted_ohm, {candidate(2.0, error_ratio)});
    const double expected = 1.0 / (1.0 + 0.3 * 0.3 / (error_ratio * error_ratio));
    INFO(error_ratio << ": " << next.gains[0].variance_left_ratio << " for " << expected);
    CHECK(next.gains[0].variance_left_ratio == Approx(expected).margin(0.02));
    // 90 % of what the tester will show: both spreads together.
    const double end = 1.645 * std::hypot(0.3, error_ratio);
    CHECK(std::log(next.gains[0].greatest_resistance_ohm / next.gains[0].middle_resistance_ohm) ==
          Approx(end).epsilon(0.08));
  }
}

TEST_CASE("the reading that looks where the doubt is wins", "[next]") {
  // The top is known, the half-space below 3 m is not, and the electrode lies in it.
  test::Random random(3);
  std::vector<earth::LayeredSoil> soils;
  std::vector<double> wanted_ohm;
  for (int i = 0; i < 300; ++i) {
    const double deep_ohm_m = random.log_uniform(30.0, 600.0);
    soils.emplace_back(std::vector<earth::Layer>{{100.0, 3.0}, {deep_ohm_m, 1.0}});
    wanted_ohm.push_back(0.3 * deep_ohm_m);
  }
  const NextSpacing next = next_spacing(soils, wanted_ohm, {candidate(0.5), candidate(2.0), candidate(12.0)});
  CHECK(next.best_index == 2);
  CHECK_FALSE(next.is_enough);
  CHECK(next.gains[0].variance_left_ratio > 0.95);
  CHECK(next.gains[2].variance_left_ratio < 0.2);
  CHECK(next.sentence.find("Read next at 12 m") == 0);
  // And where only the top can be read, no reading is asked for.
  const NextSpacing blind = next_spacing(soils, wanted_ohm, {candidate(0.3), candidate(0.5)});
  CHECK(blind.is_enough);
  CHECK(blind.sentence.find("test rod") != std::string::npos);
}

TEST_CASE("a resistance that is known well enough asks for nothing", "[next]") {
  const auto soils = uniform_soils(0.05, 200);
  const NextSpacing next = next_spacing(soils, proportional_ohm(soils), {candidate(2.0)});
  CHECK(next.is_enough);
  CHECK(next.sentence.find("Enough: stop") == 0);
  NextSpacingOptions strict;
  strict.enough_interval_ratio = 1.01;
  CHECK_FALSE(next_spacing(soils, proportional_ohm(soils), {candidate(2.0)}, strict).is_enough);
}

TEST_CASE("rods in layers: the resistance is that of the field solution, the same for any order", "[next]") {
  const std::vector<earth::LayeredSoil> soils{earth::LayeredSoil(100.0), earth::LayeredSoil(200.0)};
  const auto found_ohm = rod_resistances_ohm(soils, {2.4, 0.016});
  CHECK(found_ohm[1] == Approx(2.0 * found_ohm[0]));
  // rho / (2 pi l) (ln(8 l / d) - 1), Dwight, AIEE Trans. 55 (1936) 1319 (from memory), within 2 %.
  CHECK(found_ohm[0] ==
        Approx(100.0 / (2 * std::numbers::pi * 2.4) * (std::log(8 * 2.4 / 0.016) - 1)).epsilon(0.02));
}

TEST_CASE("what cannot be answered is refused", "[next]") {
  const auto soils = uniform_soils(0.3, 60);
  auto wanted_ohm = proportional_ohm(soils);
  CHECK_THROWS_AS(next_spacing(soils, wanted_ohm, {}), DomainError);
  CHECK_THROWS_AS(next_spacing(uniform_soils(0.3, 49), wanted_ohm, {candidate(1.0)}), DomainError);
  CHECK_THROWS_AS(next_spacing(soils, wanted_ohm, {candidate(1.0, 0.0)}), DomainError);
  wanted_ohm[3] = std::nan("");
  CHECK_THROWS_AS(next_spacing(soils, wanted_ohm, {candidate(1.0)}), DomainError);
}
