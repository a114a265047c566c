// SPDX-License-Identifier: MIT
// A device with a probe. Checks by hand from the divider: 100 kohm into 1 Mohm shows 63.6 V of 70 V (9.1 % low), 1 kohm
// 0.1 % low; in ground that is lifted by a share s it shows 1 - s (circuit and potential theory, derived).
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/probe.hpp>

#include <catch2/catch.hpp>

#include <cmath>

namespace {

using namespace ohmroot;
using namespace ohmroot::routes;

Estimate exactly(double value) {
  return {value, value, value, "stated for the test"};
}

ProbeFacts device(double probe_ohm, double share, double acts_at_v) {
  ProbeFacts facts;
  facts.probe_ohm = exactly(probe_ohm);
  facts.metal_share_ratio = exactly(share);
  facts.input_impedance_ohm = 1e6;
  facts.acts_at_v = acts_at_v;
  facts.nearest_metal_m = 4.0;
  return facts;
}

}  // namespace

TEST_CASE("probe and input impedance divide what the device shows", "[routes]") {
  CHECK(70.0 * probe_reading(device(1e5, 0.0, 70.0)).shown_ratio->value == Approx(63.6).margin(0.05));
  CHECK(probe_reading(device(1e3, 0.0, 70.0)).shown_ratio->value == Approx(0.999).epsilon(1e-4));
  CHECK(probe_reading(device(1e3, 0.167, 70.0)).shown_ratio->value == Approx(0.833 / 1.001).epsilon(1e-6));
}

TEST_CASE("three devices that differ in one figure", "[routes]") {
  const ProbeReading early = probe_reading(device(500.0, 0.1, 50.0));
  CHECK(early.judgement.support == Support::supports);
  CHECK(early.met_when_acts_v->value == Approx(50.0 / (0.9 * 1e6 / 1000500.0)).epsilon(1e-9));
  const ProbeReading late = probe_reading(device(500.0, 0.1, 70.0));
  CHECK(late.judgement.support == Support::contradicts);
  CHECK(late.judgement.finding.find("77.8 V") != std::string::npos);  // 70 / (0.9 x 0.9995)
  ProbeFacts unknown = device(500.0, 0.1, 70.0);
  unknown.acts_at_v.reset();
  const ProbeReading open = probe_reading(unknown);
  CHECK(open.judgement.support == Support::does_not_tell);
  CHECK(open.judgement.finding.find("not known: the voltage at which the device acts") != std::string::npos);
}

TEST_CASE("an interval across the limit does not tell, and 2 m is said to be practice", "[routes]") {
  ProbeFacts facts = device(500.0, 0.1, 62.0);
  facts.metal_share_ratio = Estimate{0.1, 0.0, 0.3, "test"};
  CHECK(probe_reading(facts).judgement.support == Support::does_not_tell);
  facts.nearest_metal_m = 1.2;
  CHECK(probe_reading(facts).judgement.next_step.find("nearer than practice") != std::string::npos);
  CHECK(probe_reading(facts).judgement.finding.find("common practice, no source") != std::string::npos);
  facts.metal_share_ratio = exactly(1.0);  // on the metal itself
  CHECK(probe_reading(facts).judgement.support == Support::does_not_tell);
  CHECK_FALSE(probe_reading(facts).met_when_acts_v);
}

TEST_CASE("figures of a probe that cannot be are refused", "[routes]") {
  CHECK_THROWS_AS(probe_reading(device(0.0, 0.1, 70.0)), DomainError);
  CHECK_THROWS_AS(probe_reading(device(10.0, 1.2, 70.0)), DomainError);
  CHECK_THROWS_AS(probe_reading(device(10.0, 0.1, -1.0)), DomainError);
}
