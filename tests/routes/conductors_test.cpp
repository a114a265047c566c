// SPDX-License-Identifier: MIT
// Tables: BS 7671 Tables 54.1 and 54.8 second-hand (reference/routes/rules.toml runs their rows). Circuit of the fault:
// Ohm's law, derived.
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/conductors.hpp>
#include <ohmroot/routes/tt_fault.hpp>

#include <catch2/catch.hpp>

#include <string>

using namespace ohmroot;
using namespace ohmroot::routes;

TEST_CASE("an earthing conductor on PME is no smaller than its bond and its burial ask", "[routes]") {
  // 25 mm2 neutral: bond 10; sheathed without mechanical protection: 16
  const EarthingConductorCheck check = check_earthing_conductor({32.0, 25e-6, {true, false}});
  CHECK(check.least_m2 == Approx(16e-6));
  CHECK(check.continuous_current_a == 32.0);
  CHECK(check.sentence.find("without a time limit") != std::string::npos);
  CHECK(check.sentence.find("second-hand") != std::string::npos);
  CHECK(check_earthing_conductor({32.0, 70e-6, {true, true}}).least_m2 == Approx(25e-6));
  CHECK(check_earthing_conductor({32.0, 25e-6, {false, true}}).least_m2 == Approx(25e-6));
  CHECK(check.sentence.find("thermal size is not known") != std::string::npos);
  CHECK_FALSE(check.is_rating_enough);
  const EarthingConductorCheck hot =
      check_earthing_conductor({32.0, 25e-6, {true, false}, FaultDuty{3000.0, 1.0, 143.0}, 31.0});
  CHECK(hot.least_m2 == adiabatic_m2({3000.0, 1.0, 143.0}));
  CHECK(hot.is_rating_enough == false);
  CHECK(hot.sentence.find("NOT enough") != std::string::npos);
  CHECK_THROWS_AS(check_earthing_conductor({-1.0, 25e-6, {true, true}}), DomainError);
  CHECK_THROWS_AS(pme_bond_m2(0.0), DomainError);
  CHECK_THROWS_AS(adiabatic_m2({10.0, 0.0, 143.0}), DomainError);
}

TEST_CASE("bonds never shrink as the neutral grows; the adiabatic size goes with the root of time",
          "[routes]") {
  double before_m2 = 0.0;
  for (double neutral_mm2 = 10.0; neutral_mm2 < 400.0; neutral_mm2 += 5.0) {
    CHECK(pme_bond_m2(1e-6 * neutral_mm2) >= before_m2);
    before_m2 = pme_bond_m2(1e-6 * neutral_mm2);
  }
  CHECK(adiabatic_m2({100.0, 4.0, 143.0}) == Approx(2.0 * adiabatic_m2({100.0, 1.0, 143.0})));
}

namespace {

TtFaultCase known(double resistance_ohm, double source_earth_ohm) {
  return {230.0, exactly(resistance_ohm, "stated"), source_earth_ohm};
}

}  // namespace

TEST_CASE("a fault on TT is all but the line voltage, and no overcurrent device sees it", "[routes]") {
  const TtFault fault = tt_fault(known(100.0, 1.0));
  CHECK(fault.current_a.value == Approx(230.0 / 101.0));
  CHECK(fault.touch_v.value + fault.neutral_rise_v.value == Approx(230.0));
  CHECK_FALSE(fault.can_overcurrent_device_act);
  CHECK(fault.overcurrent_loop_ohm == Approx(7.28).epsilon(1e-3));  // BS 7671 411.5.4, from memory
  CHECK(fault.sentence.find("No overcurrent device") != std::string::npos);
  // A source earth that nobody stated is not called harmless.
  CHECK(tt_fault(known(100.0, 0.0)).sentence.find("not known") != std::string::npos);
  CHECK(tt_fault(known(4.0, 1.0)).can_overcurrent_device_act);
  CHECK(least_line_earth_ohm({5.0, 230.0}) == Approx(18.0));
  CHECK_THROWS_AS(least_line_earth_ohm({5.0, 50.0}), DomainError);
  CHECK_THROWS_AS(tt_fault(known(0.0, 1.0)), DomainError);
}

TEST_CASE("a fault on TT is told over the whole interval of R_A, each quantity at the end where it is worst",
          "[routes]") {
  const TtFault fault = tt_fault({230.0, {40.0, 5.0, 120.0, "soils"}, 2.0});
  CHECK(fault.touch_v.least == Approx(230.0 * 5.0 / 7.0));  // two resistances in series, derived
  CHECK(fault.touch_v.greatest == Approx(230.0 * 120.0 / 122.0));
  CHECK(fault.neutral_rise_v.greatest ==
        Approx(230.0 * 2.0 / 7.0));  // above 50 V, which 42 ohm alone would hide
  CHECK(fault.neutral_rise_v.greatest > 50.0);
  CHECK(fault.neutral_rise_v.value < 50.0);
  CHECK(fault.current_a.greatest == Approx(230.0 / 7.0));
  CHECK(fault.sentence.find("to 65.7 V") != std::string::npos);
  CHECK_FALSE(fault.can_overcurrent_device_act);  // 5 ohm would do, 120 ohm does not
  CHECK_THROWS_AS(tt_fault({230.0, {40.0, 50.0, 120.0, "soils"}, 2.0}), DomainError);
}
