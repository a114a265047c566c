// SPDX-License-Identifier: MIT
#include "random_soil.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

using namespace ohmroot::sounding;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;
using test::Random;
using test::random_soil;

namespace {

StakePlaces random_places(Random& random) {
  const auto place = [&] { return StakePlace{random.uniform(-10.0, 10.0), random.uniform(-10.0, 10.0)}; };
  return {place(), place(), place(), place()};
}

double shown_ohm(const LayeredSoil& soil, const FourPoleReading& reading) {
  return modelled_apparent_resistivity_ohm_m(soil, reading) / geometric_factor_m(reading);
}

FourPoleReading on_line(double half_ab_m, double half_mn_m, double offset_m) {
  FourPoleReading reading;
  reading.array = Array::schlumberger;
  reading.half_current_spacing_m = half_ab_m;
  reading.half_potential_spacing_m = half_mn_m;
  reading.potential_offset_m = offset_m;
  reading.resistance_ohm = 1.0;
  return reading;
}

}  // namespace

TEST_CASE("over uniform soil every array shows the soil, at any stake depth", "[sounding][property]") {
  Random random(4101);
  for (int i = 0; i < 500; ++i) {
    const double rho_ohm_m = random.log_uniform(1.0, 1e4);
    FourPoleReading reading = four_point_reading(random_places(random), 1.0);
    CHECK(modelled_apparent_resistivity_ohm_m(LayeredSoil(rho_ohm_m), reading) ==
          Approx(rho_ohm_m).epsilon(1e-9));
    reading.driven_depth_m = random.uniform(0.0, 1.0);
    reading.contact = i % 2 == 0 ? StakeContact::bare : StakeContact::insulated;
    CHECK(modelled_resistance_ohm(LayeredSoil(rho_ohm_m), reading) * geometric_factor_m(reading) ==
          Approx(rho_ohm_m).epsilon(1e-6));
  }
}

TEST_CASE("current and potential pair may change places over any layers", "[sounding][property]") {
  // Reciprocity: a theorem of potential theory, outside the code under test.
  Random random(4102);
  for (int i = 0; i < 300; ++i) {
    const LayeredSoil soil = random_soil(random, 2 + static_cast<std::size_t>(i % 3));
    const StakePlaces p = random_places(random);
    const FourPoleReading one = four_point_reading(p, 1.0);
    const FourPoleReading other =
        four_point_reading({p.potential_m, p.potential_n, p.current_a, p.current_b}, 1.0);
    CHECK(shown_ohm(soil, one) == Approx(shown_ohm(soil, other)).epsilon(1e-8));
  }
}

TEST_CASE("over any layers alpha shows as much as beta and gamma together", "[sounding][property]") {
  // Carpenter and Habberjam, Geophysics 21 (1956) 455, tripotential method (from memory); by superposition.
  Random random(4103);
  for (int i = 0; i < 300; ++i) {
    const LayeredSoil soil = random_soil(random, 2 + static_cast<std::size_t>(i % 3));
    const double a_m = random.log_uniform(0.3, 30.0);
    const double alpha_ohm = shown_ohm(soil, wenner_reading(a_m, 1.0));
    const double beta_ohm = shown_ohm(soil, wenner_reading_of(Array::wenner_beta, a_m, 1.0));
    const double gamma_ohm = shown_ohm(soil, wenner_reading_of(Array::wenner_gamma, a_m, 1.0));
    CHECK(beta_ohm + gamma_ohm == Approx(alpha_ohm).epsilon(1e-9));
  }
}

TEST_CASE("arrays on a line are the same arrays by coordinates", "[sounding]") {
  const LayeredSoil soil({{250.0, 1.5}, {40.0, 3.5}, {600.0, 0.0}});
  const struct {
    FourPoleReading line;
    double a_m, b_m, m_m, n_m;
  } cases[] = {
      {wenner_reading(2.0, 1.0), 0, 6, 2, 4},
      {wenner_reading_of(Array::wenner_beta, 2.0, 1.0), 2, 0, 4, 6},
      {wenner_reading_of(Array::wenner_gamma, 2.0, 1.0), 0, 4, 2, 6},
      {dipole_dipole_reading({1.0, 3.0}, 1.0), 1, 0, 4, 5},
      {on_line(10.0, 1.0, 4.0), -10, 10, 3, 5},
      {on_line(10.0, 1.0, -4.0), -10, 10, -5, -3},
  };
  for (const auto& [line, a_m, b_m, m_m, n_m] : cases) {
    const FourPoleReading places = four_point_reading({{a_m, 0}, {b_m, 0}, {m_m, 0}, {n_m, 0}}, 1.0);
    CHECK(geometric_factor_m(line) == Approx(geometric_factor_m(places)).epsilon(1e-12));
    CHECK(modelled_apparent_resistivity_ohm_m(soil, line) ==
          Approx(modelled_apparent_resistivity_ohm_m(soil, places)).epsilon(1e-10));
    CHECK(median_depth_m(line) == Approx(median_depth_m(places)).epsilon(1e-9));
  }
}

TEST_CASE("a surface contact is the limit of a contact at depth", "[sounding]") {
  const LayeredSoil soil({{250.0, 1.5}, {40.0, 3.5}, {600.0, 0.0}});
  for (FourPoleReading reading : {wenner_reading(2.0, 1.0), dipole_dipole_reading({1.0, 3.0}, 1.0)}) {
    const double surface_ohm = modelled_resistance_ohm(soil, reading);
    CHECK(surface_ohm == Approx(shown_ohm(soil, reading)).epsilon(1e-12));
    reading.driven_depth_m = 1e-4;
    CHECK(modelled_resistance_ohm(soil, reading) == Approx(surface_ohm).epsilon(1e-6));
  }
}

TEST_CASE("what the surface model leaves out at a tenth of the spacing is below a few per cent",
          "[sounding]") {
  // Stakes of 0.2 m at 2 m, bare, top layer ten times as thick as their effective depth, contrast 1:20.
  for (const double base_ohm_m : {5.0, 2000.0}) {
    const LayeredSoil soil({{100.0, 1.2}, {base_ohm_m, 0.0}});
    FourPoleReading reading = wenner_reading(2.0, 1.0);
    reading.driven_depth_m = 0.2;
    const double reduced_ohm_m = modelled_resistance_ohm(soil, reading) * geometric_factor_m(reading);
    CHECK(reduced_ohm_m == Approx(modelled_apparent_resistivity_ohm_m(soil, reading)).epsilon(0.03));
  }
}

TEST_CASE("readings of mixed arrays lead to the soil they were taken over", "[sounding]") {
  const LayeredSoil truth({{200.0, 2.0}, {50.0, 0.0}});
  std::vector<FourPoleReading> readings;
  for (const double a_m : {0.5, 1.0, 2.0, 4.0, 8.0, 16.0}) {
    readings.push_back(wenner_reading_of(Array::wenner_beta, a_m, 1.0));
    readings.push_back(dipole_dipole_reading({a_m, 2.0 * a_m}, 1.0));
    readings.push_back(on_line(3.0 * a_m, 0.5 * a_m, a_m));
  }
  for (FourPoleReading& reading : readings) {
    reading.resistance_ohm = shown_ohm(truth, reading);
    reading.relative_error_ratio = 0.01;
  }
  const SoilFit fit = interpret(readings).fits.at(1);
  CHECK(fit.resistivity_ohm_m[0].value == Approx(200.0).epsilon(0.001));
  CHECK(fit.resistivity_ohm_m[1].value == Approx(50.0).epsilon(0.001));
  CHECK(fit.thickness_m[0].value == Approx(2.0).epsilon(0.001));
  const SoilPosterior posterior = sample_posterior(readings);
  double mean_ln = 0.0;
  for (const LayeredSoil& soil : posterior.soils)
    mean_ln +=
        std::log(soil.layers().front().resistivity_ohm_m) / static_cast<double>(posterior.soils.size());
  CHECK(std::exp(mean_ln) == Approx(200.0).epsilon(0.05));
}

TEST_CASE("arrays that cannot be are refused", "[sounding]") {
  CHECK_THROWS_AS(geometric_factor_m(on_line(2.0, 0.5, 1.6)), DomainError);  // N beyond B
  CHECK_THROWS_AS(geometric_factor_m(dipole_dipole_reading({1.0, 0.0}, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(dipole_dipole_reading({0.0, 1.0}, 1.0)), DomainError);
  CHECK_THROWS_AS(wenner_reading_of(Array::schlumberger, 1.0, 1.0), DomainError);
  FourPoleReading without_places = wenner_reading(1.0, 1.0);
  without_places.array = Array::four_points;
  CHECK_THROWS_AS(geometric_factor_m(without_places), DomainError);
  // M and N at one potential over uniform soil: both on the line midway between A and B.
  CHECK_THROWS_AS(geometric_factor_m(four_point_reading({{-1, 0}, {1, 0}, {0, 1}, {0, 3}}, 1.0)),
                  DomainError);
  CHECK_THROWS_AS(geometric_factor_m(four_point_reading({{0, 0}, {1, 0}, {0, 0}, {0, 3}}, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(four_point_reading({{0, 0}, {1, 0}, {2, 0}, {2, 0}}, 1.0)), DomainError);
  const double nan_m = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(geometric_factor_m(four_point_reading({{0, 0}, {1, 0}, {2, nan_m}, {2, 0}}, 1.0)),
                  DomainError);
  FourPoleReading bound = wenner_reading(1.0, 1999.0);
  bound.is_lower_bound = true;
  CHECK_THROWS_AS(apparent_resistivity_ohm_m(bound), DomainError);
}

TEST_CASE("traverses are counted by first appearance", "[sounding]") {
  std::vector<FourPoleReading> readings(4, wenner_reading(1.0, 1.0));
  readings[1].traverse = readings[3].traverse = "across";
  CHECK(traverse_indices(readings) == std::vector<std::size_t>{0, 1, 0, 1});
}
