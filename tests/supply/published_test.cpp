// SPDX-License-Identifier: MIT
#include "helpers.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/blind_case.hpp>
#include <ohmroot/supply/published.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <limits>

using namespace ohmroot;
using namespace ohmroot::supply;

TEST_CASE("the neutral current follows the printed expression", "[supply][published]") {
  // BS 7671 Annex A722, A722.1, as typed on a public forum (17th Edition wording): the expression is the
  // source's, the values are worked from it.
  CHECK(neutral_current_as_printed_a({60.0, 20.0, 20.0}) == Approx(40.0).epsilon(1e-12));
  CHECK(neutral_current_as_printed_a({40.0, 30.0, 20.0}) == Approx(17.3203811).epsilon(1e-8));
  CHECK(neutral_current_a({40.0, 30.0, 20.0}) == Approx(std::sqrt(300.0)).epsilon(1e-14));
  CHECK(neutral_current_a({80.0, 32.0, 0.0}) == Approx(69.7423831).epsilon(1e-8));
  CHECK(neutral_current_a({100.0, 60.0, 40.0}) == Approx(52.9150262).epsilon(1e-8));
  CHECK(neutral_current_a({52.0, 18.0, 22.0}) == Approx(32.1869539).epsilon(1e-8));
}

TEST_CASE("0.866 stays within three parts in 100 000 of the exact neutral current", "[supply][property]") {
  Draw draw(31);
  for (int trial = 0; trial < 1000; ++trial) {
    const std::array<double, 3> current_a{draw.between(0, 100), draw.between(0, 100), draw.between(0, 100)};
    REQUIRE(neutral_current_as_printed_a(current_a) == Approx(neutral_current_a(current_a)).epsilon(3.1e-5));
  }
}

TEST_CASE("a charge point of 32 A needs 27.9 A of balanced base, or 20.2 A with 10 ohm", "[supply]") {
  // Derived, circuit theory, at 253 V.
  ChargeOnBalancedBase charge;
  CHECK(balanced_base_a(charge) == Approx(27.8857143).epsilon(1e-8));
  charge.earth_resistance_ohm = 10.0;
  CHECK(balanced_base_a(charge) == Approx(20.2190476).epsilon(1e-8));
  charge = {16.0, 230.0, 253.0, 70.0, 20.0};
  CHECK(balanced_base_a(charge) == Approx(10.1095238).epsilon(1e-8));
  charge.earth_resistance_ohm = 1.0;
  CHECK(balanced_base_a(charge) == 0.0);
}

TEST_CASE("the balanced base just holds the limit when it is put into the circuit", "[supply][property]") {
  Draw draw(32);
  for (int trial = 0; trial < 500; ++trial) {
    ChargeOnBalancedBase charge;
    charge.charge_current_a = draw.between(6.0, 63.0);
    charge.source_v = draw.between(216.2, 253.0);
    if (draw.chance(0.5)) charge.earth_resistance_ohm = draw.between(5.0, 100.0);
    const double base_a = balanced_base_a(charge);
    if (base_a == 0.0) continue;
    OpenPenCircuit circuit;
    circuit.source_v = charge.source_v;
    if (charge.earth_resistance_ohm) circuit.earth_path_ohm = {*charge.earth_resistance_ohm};
    circuit.loads = {{1, base_a}, {2, base_a}, {3, base_a}, {1, charge.charge_current_a}};
    REQUIRE(std::abs(open_pen_state(circuit).met_v) == Approx(70.0).epsilon(1e-12));
  }
}

TEST_CASE("the voltage window is 207 to 253 V, ends included", "[supply][published]") {
  // BS 7671:2018 regulation 722.411.4.1 (iv)/(d), quoted second-hand.
  const VoltageWindow window;
  CHECK(window.least_v == 207.0);
  CHECK(window.greatest_v == 253.0);
  CHECK(is_outside_window({206.9, 207.0, 230.0}) == std::array<bool, 3>{true, false, false});
  CHECK(is_outside_window({253.0, 253.1, std::nan("")}) == std::array<bool, 3>{false, true, true});
}

TEST_CASE("published helpers refuse what they cannot answer", "[supply]") {
  CHECK_THROWS_AS(neutral_current_a({1.0, std::nan(""), 1.0}), DomainError);
  ChargeOnBalancedBase charge;
  charge.limit_v = 0.0;
  CHECK_THROWS_AS(balanced_base_a(charge), DomainError);
  charge = {};
  charge.earth_resistance_ohm = -1.0;
  CHECK_THROWS_AS(balanced_base_a(charge), DomainError);
}

namespace {

RequirementQuestion three_phase_to(double greatest_current_a, double source_v) {
  RequirementQuestion question;
  question.supply.phase_count = 3;
  question.supply.lowest_v = question.supply.highest_v = source_v;
  for (int phase = 1; phase <= 3; ++phase) {
    Load load = load_of(greatest_current_a);
    load.phase = phase;
    question.loads.push_back(load);
  }
  return question;
}

}  // namespace

TEST_CASE("a device on one phase of three is blind up to about 127 V at 230 V", "[supply]") {
  // The neutral N with |E1 - N| = 253 V on the edge between phases 1 and 2 is farthest from the star point:
  // |N| = 127.0 V for a source of 230 V (derived, geometry of the star).
  RequirementQuestion question = three_phase_to(100.0, 230.0);
  const auto blind = blind_case(question);
  REQUIRE(blind);
  CHECK(blind->met_v <= 127.1);
  CHECK(blind->met_v > 120.0);
  REQUIRE(blind->watched_phases.size() == 1);
  const auto watched = static_cast<std::size_t>(blind->watched_phases[0] - 1);
  CHECK_FALSE(is_outside_window(blind->line_to_neutral_v)[watched]);
  // What is reported is a state of the circuit.
  OpenPenCircuit circuit;
  circuit.source_v = blind->source_v;
  for (int phase = 1; phase <= 3; ++phase) {
    circuit.loads.push_back({phase, blind->phase_current_a[static_cast<std::size_t>(phase - 1)]});
  }
  CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(blind->met_v).epsilon(1e-12));
  // A charge point on all three phases is watched on all three, and cannot be blind to that.
  for (Load& load : question.loads)
    load.charge_point = ChargePoint::alone;
  const auto seen = blind_case(question);
  REQUIRE(seen);  // equal loads hold the star point, and the device stays closed
  CHECK(seen->met_v < question.limit_v);
}

TEST_CASE("a device on a single-phase supply sees a resistive load leave its window", "[supply]") {
  RequirementQuestion question;
  question.loads = {load_of(60.0)};
  const auto hidden = blind_case(question);
  CHECK((!hidden || hidden->met_v <= question.limit_v));
}
