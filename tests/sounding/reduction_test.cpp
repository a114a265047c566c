// SPDX-License-Identifier: MIT
#include "published.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <string>

using namespace ohmroot::sounding;
using ohmroot::earth::LayeredSoil;
using std::numbers::pi;

namespace {

FourPoleReading schlumberger_reading(double half_ab_m, double half_mn_m, double resistance_ohm) {
  FourPoleReading reading;
  reading.array = Array::schlumberger;
  reading.half_current_spacing_m = half_ab_m;
  reading.half_potential_spacing_m = half_mn_m;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

FourPoleReading deep_wenner(double depth_m, StakeContact contact) {
  FourPoleReading reading = wenner_reading(1.0, 1.0);
  reading.driven_depth_m = depth_m;
  reading.contact = contact;
  return reading;
}

}  // namespace

TEST_CASE("a Wenner reading knows its spacing", "[sounding]") {
  const FourPoleReading reading = wenner_reading(4.0, 7.0);
  CHECK(reading.half_current_spacing_m == 6.0);
  CHECK(reading.half_potential_spacing_m == 2.0);
  CHECK(plotted_spacing_m(reading) == 4.0);
  CHECK(plotted_spacing_m(schlumberger_reading(40.0, 5.0, 1.0)) == 40.0);
}

TEST_CASE("stakes at the surface give the geometric factors of the standards", "[sounding]") {
  // ASTM G57-95a clause 3.2: resistivity in ohm cm is 191.5 a R, a in feet.
  CHECK(geometric_factor_m(wenner_reading(0.3048, 1.0)) * 100.0 == Approx(191.5).epsilon(5e-4));
  CHECK(geometric_factor_m(wenner_reading(3.0, 1.0)) == Approx(2.0 * pi * 3.0).epsilon(1e-14));
  // K column of public Schlumberger field files: pi (L^2 - l^2) / (2 l).
  CHECK(geometric_factor_m(schlumberger_reading(40.0, 5.0, 1.0)) ==
        Approx(pi * 1575.0 / 10.0).epsilon(1e-14));
  CHECK(geometric_factor_m(schlumberger_reading(142.0, 48.0, 1.0)) == Approx(584.47).epsilon(1e-5));
}

TEST_CASE("the military handbook's worked example comes out but for its misprint", "[sounding]") {
  // MIL-HDBK-419A volume II p. 1-3: A = 20 ft, R = 2 ohm, printed 7662 ohm cm. 2 pi A R is 7660.5 (misprint
  // in the source: its substitution uses 6.25, which gives 7625, and the printed result needs 6.28).
  const double apparent_ohm_cm = 100.0 * apparent_resistivity_ohm_m(wenner_reading(20.0 * 0.3048, 2.0));
  CHECK(apparent_ohm_cm == Approx(7660.5).epsilon(1e-5));
  CHECK(apparent_ohm_cm == Approx(7662.0).epsilon(3e-4));
}

TEST_CASE("a utility's table of resistances gives its printed resistivities", "[sounding]") {
  for (const auto& rows : {published::traverse_1, published::traverse_2}) {
    for (const auto& row : rows) {
      CAPTURE(row.a_m);  // pi = 3.142 in the source: 0.013 %, and rounding of R
      CHECK(apparent_resistivity_ohm_m(wenner_reading(row.a_m, row.resistance_ohm)) ==
            Approx(row.printed_ohm_m).epsilon(4e-4));
    }
  }
}

TEST_CASE("point contacts at depth raise the factor as computed for a/b from 20 to 1/2", "[sounding]") {
  // Factor over 2 pi a for points at depth b, computed independently; limits 1 and 2.
  const struct {
    double depth_m;
    double expected_ratio;
  } rows[] = {{0.05, 1.00436}, {0.1, 1.01723}, {0.2, 1.06589},
              {0.5, 1.31597},  {1.0, 1.68447}, {2.0, 1.92705}};
  for (const auto& row : rows) {
    CAPTURE(row.depth_m);
    CHECK(geometric_factor_m(deep_wenner(row.depth_m, StakeContact::insulated)) / (2.0 * pi) ==
          Approx(row.expected_ratio).epsilon(5e-6));
  }
  CHECK(geometric_factor_m(deep_wenner(1e4, StakeContact::insulated)) == Approx(4.0 * pi).epsilon(1e-6));
}

TEST_CASE("bare stakes act at length / sqrt 3, where the handbook's rule over-corrects", "[sounding]") {
  // Uniform soil of 100 ohm m, bare rods driven to L at a = 1: apparent resistivities computed independently
  // with floating rods at mean potential. 2 pi a R, and the depth formula with b = L and with b = L / sqrt 3.
  const struct {
    double depth_m;
    double surface_ohm_m;
    double handbook_ohm_m;
    double effective_ohm_m;
  } rows[] = {{0.05, 99.85, 100.29, 100.000},
              {0.1, 99.42, 101.14, 100.001},
              {0.2, 97.78, 104.22, 100.02},
              {0.3, 95.29, 108.46, 100.07},
              {0.5, 88.81, 116.87, 100.27}};
  for (const auto& row : rows) {
    CAPTURE(row.depth_m);
    FourPoleReading reading = deep_wenner(row.depth_m, StakeContact::bare);
    reading.resistance_ohm = row.surface_ohm_m / (2.0 * pi);
    CHECK(apparent_resistivity_ohm_m(reading) == Approx(row.effective_ohm_m).margin(0.011));
    CHECK(apparent_resistivity_ohm_m(reading, StakeDepthRule::handbook) ==
          Approx(row.handbook_ohm_m).margin(0.011));
  }
}

TEST_CASE("insulated stakes act at their tip under either rule, and the note says what was done",
          "[sounding]") {
  const FourPoleReading insulated = deep_wenner(0.3, StakeContact::insulated);
  CHECK(effective_stake_depth_m(insulated, StakeDepthRule::effective_point) == 0.3);
  CHECK(effective_stake_depth_m(insulated, StakeDepthRule::handbook) == 0.3);
  const FourPoleReading bare = deep_wenner(0.3, StakeContact::bare);
  CHECK(std::string(stake_depth_note(bare, StakeDepthRule::effective_point)).find("sqrt(3)") !=
        std::string::npos);
  CHECK(std::string(stake_depth_note(bare, StakeDepthRule::handbook)).find("over-corrects") !=
        std::string::npos);
  CHECK(std::string(stake_depth_note(deep_wenner(0.0, StakeContact::bare), StakeDepthRule::handbook))
            .find("surface") != std::string::npos);
}

TEST_CASE("the model gives the printed curves of published two-layer examples", "[sounding]") {
  const struct {
    LayeredSoil soil;
    const std::vector<published::WennerRow>& rows;
    double tolerance_ratio;
  } cases[] = {
      {LayeredSoil({{1000.0, 5.0}, {200.0, 0.0}}), published::kind_b, 0.5 / 210.0},  // printed to 1 ohm m
      {LayeredSoil({{700.0, 2.5}, {180.0, 0.0}}), published::kind_c, 0.5 / 182.0},
      {LayeredSoil({{1000.0, 1.0}, {20.0, 0.0}}), published::seedher_1,
       1e-3},  // the source's own approximation
      {LayeredSoil({{100.0, 2.5}, {1000.0, 0.0}}), published::seedher_2, 2.5e-4},
      {LayeredSoil({{100.0, 5.0}, {300.0, 0.0}}), published::seedher_3, 4e-5},
  };
  for (const auto& [soil, rows, tolerance_ratio] : cases) {
    for (const auto& row : rows) {
      CAPTURE(row.a_m, row.apparent_ohm_m);
      CHECK(modelled_apparent_resistivity_ohm_m(soil, wenner_reading(row.a_m, 1.0)) ==
            Approx(row.apparent_ohm_m).epsilon(tolerance_ratio));
    }
  }
}

TEST_CASE("a short MN comes close to the ideal array, a long one does not", "[sounding]") {
  // Computed independently: 250, 40, 600 ohm m over 1.5 and 3.5 m at AB/2 = 3 m, ideal and with MN = AB/5.
  const LayeredSoil soil({{250.0, 1.5}, {40.0, 3.5}, {600.0, 0.0}});
  CHECK(modelled_apparent_resistivity_ohm_m(soil, schlumberger_reading(3.0, 1e-6, 1.0)) ==
        Approx(144.3083296).epsilon(1e-9));
  CHECK(modelled_apparent_resistivity_ohm_m(soil, schlumberger_reading(3.0, 0.6, 1.0)) ==
        Approx(149.0061815).epsilon(1e-9));
}

TEST_CASE("a Schlumberger array with AB = 3 MN is a Wenner array", "[sounding]") {
  const LayeredSoil soil({{250.0, 1.5}, {40.0, 0.0}});
  const FourPoleReading schlumberger = schlumberger_reading(6.0, 2.0, 3.0);
  const FourPoleReading wenner = wenner_reading(4.0, 3.0);
  CHECK(apparent_resistivity_ohm_m(schlumberger) ==
        Approx(apparent_resistivity_ohm_m(wenner)).epsilon(1e-14));
  CHECK(modelled_apparent_resistivity_ohm_m(soil, schlumberger) ==
        Approx(modelled_apparent_resistivity_ohm_m(soil, wenner)).epsilon(1e-14));
}

TEST_CASE("geometries and readings that cannot be are refused by name", "[sounding]") {
  using ohmroot::DomainError;
  const double nan_value = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(geometric_factor_m(schlumberger_reading(1.0, 1.0, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(schlumberger_reading(1.0, 2.0, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(wenner_reading(0.0, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(wenner_reading(-1.0, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(wenner_reading(nan_value, 1.0)), DomainError);
  CHECK_THROWS_AS(geometric_factor_m(deep_wenner(-0.1, StakeContact::bare)), DomainError);
  for (const double bad : {0.0, -1.0, nan_value}) {
    CHECK_THROWS_AS(apparent_resistivity_ohm_m(wenner_reading(1.0, bad)), DomainError);
  }
  CHECK_THROWS_AS(modelled_apparent_resistivity_ohm_m(LayeredSoil(100.0), wenner_reading(0.0, 1.0)),
                  DomainError);
}
