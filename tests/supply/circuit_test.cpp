// SPDX-License-Identifier: MIT
#include "helpers.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/circuit.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>

using namespace ohmroot::supply;

namespace {

DefiniteLoad load(int phase, double current_a, LoadModel model = LoadModel::constant_impedance) {
  return {phase, current_a, 1.0, false, model};
}

Customer customer(std::vector<DefiniteLoad> loads, std::optional<double> electrode_ohm = {}) {
  Customer made;
  made.loads = std::move(loads);
  made.electrode_ohm = electrode_ohm;
  return made;
}

SupplyCircuit random_street(Draw& draw) {
  SupplyCircuit circuit;
  circuit.place = BreakPlace::main_with_customers;
  circuit.source_v = draw.between(216.0, 253.0);
  circuit.is_sequence_reversed = draw.chance(0.5);
  if (draw.chance(0.5)) circuit.source_earth_ohm = draw.log_between(0.1, 20.0);
  if (draw.chance(0.5)) circuit.network_earth_beyond_ohm = {draw.log_between(5.0, 100.0)};
  const int count = draw.integer(1, 4);
  for (int k = 0; k < count; ++k) {
    Customer made = customer(lagging_loads(draw, 3));
    if (draw.chance(0.5)) {
      for (DefiniteLoad& l : made.loads)
        l.is_leading = draw.chance(0.3);
    }
    if (draw.chance(0.2)) made.loads.front().current_a *= -0.3;
    if (draw.chance(0.6)) made.electrode_ohm = draw.log_between(0.2, 200.0);
    if (draw.chance(0.3)) made.bonded_metalwork_ohm = {draw.log_between(1.0, 100.0)};
    made.is_beyond_break = k == 0 || draw.chance(0.7);
    circuit.customers.push_back(made);
  }
  if (draw.chance(0.3)) {
    circuit.fault = LineFault{draw.chance(0.5) ? LineFault::To::met : LineFault::To::true_earth,
                              static_cast<std::size_t>(draw.integer(0, count - 1)), draw.integer(1, 3),
                              draw.log_between(0.5, 1000.0)};
  }
  return circuit;
}

/// Currents into the earth, all paths and the fault: they must add up to nothing.
std::complex<double> earth_surplus_a(const SupplyCircuit& circuit, const CircuitState& state) {
  std::complex<double> sum_a;
  const auto add = [&sum_a](std::complex<double> v, double ohm) { sum_a += v / ohm; };
  add(state.star_point_v, circuit.source_earth_ohm);
  for (const double ohm : circuit.network_earth_beyond_ohm)
    add(state.star_point_v + state.displacement_v, ohm);
  for (std::size_t k = 0; k < circuit.customers.size(); ++k) {
    if (circuit.customers[k].electrode_ohm)
      add(state.customers[k].met_v, *circuit.customers[k].electrode_ohm);
    for (const double ohm : circuit.customers[k].bonded_metalwork_ohm)
      add(state.customers[k].met_v, ohm);
  }
  if (circuit.fault && circuit.fault->to == LineFault::To::true_earth) {
    const double turn_rad = (circuit.is_sequence_reversed ? 1.0 : -1.0) * 2.0 * std::acos(-1.0) / 3.0;
    add(state.star_point_v + std::polar(circuit.source_v, turn_rad * (circuit.fault->phase - 1)),
        circuit.fault->resistance_ohm);
  }
  return sum_a;
}

void check_kirchhoff(const SupplyCircuit& circuit, const CircuitState& state) {
  REQUIRE(state.kirchhoff_residual_ratio <= 1e-10);
  REQUIRE(std::isfinite(std::abs(state.displacement_v)));
  if (circuit.source_earth_ohm > 0.0) REQUIRE(std::abs(earth_surplus_a(circuit, state)) <= 1e-9);
}

void check_turned_phases(const SupplyCircuit& circuit, const CircuitState& state) {
  SupplyCircuit turned = circuit;
  for (Customer& c : turned.customers) {
    for (DefiniteLoad& l : c.loads)
      l.phase = l.phase % 3 + 1;
  }
  if (turned.fault) turned.fault->phase = turned.fault->phase % 3 + 1;
  const CircuitState other = circuit_state(turned);
  REQUIRE(other.status == state.status);
  for (std::size_t k = 0; k < state.customers.size(); ++k) {
    REQUIRE(std::abs(other.customers[k].met_v) ==
            Approx(std::abs(state.customers[k].met_v)).epsilon(1e-8).margin(1e-8));
  }
}

template <class Check>
void check_random_streets(unsigned seed, int count, const Check& check) {
  Draw draw(seed);
  int solved_count = 0;
  for (int trial = 0; trial < count; ++trial) {
    const SupplyCircuit circuit = random_street(draw);
    const CircuitState state = circuit_state(circuit);
    if (state.status != OpenPenStatus::solved) {
      REQUIRE_FALSE(state.why.empty());
      continue;
    }
    ++solved_count;
    check(circuit, state);
  }
  CHECK(solved_count > count / 3);
}

}  // namespace

TEST_CASE("four customers on one main share the voltage, each electrode its part", "[supply][circuit]") {
  // Computed independently: 25, 10, 15 and 32 A on phases 1, 2, 3, 1; 2 and 21 ohm at two of them, 20 ohm at
  // the end of the main.
  SupplyCircuit circuit;
  circuit.place = BreakPlace::main_with_customers;
  circuit.customers = {customer({load(1, 25.0)}, 2.0), customer({load(2, 10.0)}),
                       customer({load(3, 15.0)}, 21.0), customer({load(1, 32.0)})};
  circuit.network_earth_beyond_ohm = {20.0};
  const CircuitState state = circuit_state(circuit);
  REQUIRE(state.status == OpenPenStatus::solved);
  for (const CustomerState& seen : state.customers) {
    CHECK(std::abs(seen.met_v) == Approx(51.5450092).epsilon(1e-5));
    CHECK(seen.origin_rcd_a == 0.0);
  }
  CHECK(state.customers[0].electrode_current_a == Approx(25.7725046).epsilon(1e-5));
  CHECK(state.customers[0].electrode_power_w == Approx(1328.44398).epsilon(1e-5));
  CHECK(state.customers[2].electrode_current_a == Approx(2.45452425).epsilon(1e-5));
}

TEST_CASE("a customer without load carries the neighbours' current", "[supply][circuit]") {
  SupplyCircuit circuit;
  circuit.place = BreakPlace::shared_service;
  circuit.customers = {customer({}, 3.0), customer({load(1, 45.0)}), customer({load(2, 10.0)})};
  const CircuitState state = circuit_state(circuit);
  CHECK(std::abs(state.customers[0].met_v) == Approx(78.6415538).epsilon(1e-5));
  CHECK(state.customers[0].electrode_current_a == Approx(26.2138513).epsilon(1e-5));
  CHECK(state.customers[0].electrode_power_w == Approx(2061.498).epsilon(1e-5));
  CHECK(state.customers[0].origin_rcd_a == 0.0);
}

TEST_CASE("a line in contact with the MET is seen by the RCD and lifts the MET", "[supply][circuit]") {
  SupplyCircuit circuit;
  circuit.customers = {customer({load(1, 20.0)}, 5.0)};
  circuit.fault = LineFault{LineFault::To::met, 0, 2, 1.0};  // 230 A at 230 V
  const CircuitState state = circuit_state(circuit);
  CHECK(std::abs(state.customers[0].met_v) == Approx(188.62).epsilon(1e-4));
  CHECK(state.customers[0].origin_rcd_a == Approx(66.6250722).epsilon(1e-5));
}

TEST_CASE("the source earth drives the healthy side to its own voltage", "[supply][circuit]") {
  SupplyCircuit circuit;
  circuit.place = BreakPlace::shared_service;
  circuit.source_earth_ohm = 5.0;
  circuit.customers = {customer({load(1, 32.0)}, 3.0), customer({load(2, 40.0)})};
  circuit.customers[1].is_beyond_break = false;
  const CircuitState state = circuit_state(circuit);
  CHECK(std::abs(state.customers[0].met_v) == Approx(49.9753086).epsilon(1e-5));
  CHECK(std::abs(state.star_point_v) == Approx(83.2921811).epsilon(1e-5));
  CHECK(std::abs(state.customers[1].met_v) == std::abs(state.star_point_v));
  CHECK(state.customers[1].line_to_neutral_v[0] == Approx(253.0));
}

TEST_CASE("the branch reached and the other branches of constant power are told apart", "[supply][circuit]") {
  // Computed independently, and by hand: u^2 - E u + P R = 0.
  struct Row {
    double electrode_ohm;
    std::vector<double> all_v;
  };
  for (const Row& row : {Row{1.5, {56.0567604, 196.94324}}, Row{2.17, {120.927747, 132.072253}}}) {
    SupplyCircuit circuit;
    circuit.customers = {customer({load(1, 32.0, LoadModel::constant_power)}, row.electrode_ohm)};
    const CircuitState state = circuit_state(circuit);
    REQUIRE(state.status == OpenPenStatus::solved);
    CHECK(std::abs(state.displacement_v) == Approx(row.all_v[0]).epsilon(1e-5));
    REQUIRE(state.other_displacement_v.size() == 1);
    CHECK(std::abs(state.other_displacement_v[0]) == Approx(row.all_v[1]).epsilon(1e-5));
  }
  for (const auto& [model, electrode_ohm] :
       {std::pair{LoadModel::constant_power, 5.0}, std::pair{LoadModel::constant_current, 21.0}}) {
    SupplyCircuit circuit;
    circuit.customers = {customer({load(1, 32.0, model)}, electrode_ohm)};
    const CircuitState state = circuit_state(circuit);
    CHECK(state.status == OpenPenStatus::no_operating_point);
    CHECK(state.other_displacement_v.empty());
    REQUIRE(state.branch_end_ohm);
    // The branch ends where break and electrode in parallel come to E^2 / 4 P, or to E / I.
    const double end_ohm =
        model == LoadModel::constant_power ? 253.0 * 253.0 / (4.0 * 230.0 * 32.0) : 253.0 / 32.0;
    const double together_ohm = 1.0 / (1.0 / *state.branch_end_ohm + 1.0 / electrode_ohm);
    CHECK(together_ohm == Approx(end_ohm).epsilon(1e-6));
  }
}

TEST_CASE("a whole PEN leaves everything at its place", "[supply][circuit]") {
  SupplyCircuit circuit;
  circuit.break_ohm = 0.0;
  circuit.customers = {customer({load(1, 60.0, LoadModel::constant_power)}, 5.0)};
  const CircuitState state = circuit_state(circuit);
  CHECK(std::abs(state.customers[0].met_v) == 0.0);
  CHECK(state.customers[0].line_to_neutral_v[0] == Approx(253.0));
  CHECK(state.customers[0].electrode_current_a == 0.0);
}

TEST_CASE("in an island the electrode is the earth of the source", "[supply][circuit]") {
  Island island;
  island.customer = customer({load(1, 10.0)}, 20.0);
  CHECK(island_state(island).met_v == 0.0);
  CHECK(*island_state(island).source_earth_ohm == 20.0);
  island.line_to_true_earth_ohm = 80.0;
  CHECK(island_state(island).met_v == Approx(46.0));  // 230 V x 20 / (20 + 80)
  CHECK(island_state(island).fault_current_a == Approx(2.3));
}

TEST_CASE("the street decides beside the own service, and the worse of them counts", "[supply][circuit]") {
  StreetQuestion question;
  question.own_service.customers = {customer({load(1, 20.0)}, 3.0)};
  CHECK(street_comparison(question).verdict == StreetVerdict::cannot_be_decided);
  CHECK(*street_comparison(question).own_met_v < 70.0);
  question.own_service_reason = "a service of its own, joint at the pole inspected";
  CHECK(street_comparison(question).verdict == StreetVerdict::holds);
  question.own_service_reason.clear();
  question.street = question.own_service;
  question.street->place = BreakPlace::main_with_customers;
  question.street->customers.push_back(customer({load(1, 45.0)}));
  CHECK(street_comparison(question).verdict == StreetVerdict::fails);
  question.street->customers[1] = customer({load(2, 20.0), load(3, 20.0)});
  CHECK(street_comparison(question).verdict == StreetVerdict::holds);
  question.own_service.customers[0].electrode_ohm = 30.0;
  question.street.reset();
  CHECK(street_comparison(question).verdict == StreetVerdict::fails);
}

TEST_CASE("a circuit that is none is refused", "[supply][circuit]") {
  SupplyCircuit circuit;
  CHECK_THROWS_AS(circuit_state(circuit), ohmroot::DomainError);
  circuit.customers = {customer({load(1, 5.0)}), customer({load(1, 5.0)})};
  CHECK_THROWS_AS(circuit_state(circuit), ohmroot::DomainError);  // two beyond a break in the own service
  circuit.place = BreakPlace::shared_service;
  CHECK_NOTHROW(circuit_state(circuit));
  circuit.fault = LineFault{LineFault::To::met, 7, 1, 1.0};
  CHECK_THROWS_AS(circuit_state(circuit), ohmroot::DomainError);
}

TEST_CASE("random streets obey Kirchhoff at every node and know no first phase",
          "[supply][circuit][property]") {
  check_random_streets(31, 1000, [](const SupplyCircuit& circuit, const CircuitState& state) {
    check_kirchhoff(circuit, state);
    check_turned_phases(circuit, state);
  });
}

TEST_CASE("a hundred thousand random streets obey Kirchhoff", "[supply][circuit][slow]") {
  check_random_streets(32, 100000, check_kirchhoff);
}

TEST_CASE("a hundred thousand random streets know no first phase", "[supply][circuit][slow]") {
  check_random_streets(32, 100000, check_turned_phases);
}

TEST_CASE("an export that cancels a load at any angle is taken at the limit of the opening break",
          "[supply][circuit]") {
  // 10 A drawn as constant impedance, 5 A exported as constant current: at half the nominal voltage across them
  // no current is left, whatever the angle. By hand: V is along E while the break is still closed, for the
  // currents are, and so it stays to the end: V = E - 115 V.
  for (int phase = 1; phase <= 3; ++phase) {
    SupplyCircuit circuit;
    circuit.customers = {customer({load(phase, 10.0), load(phase, -5.0, LoadModel::constant_current)})};
    const CircuitState state = circuit_state(circuit);
    REQUIRE(state.status == OpenPenStatus::solved);
    CHECK(std::abs(state.displacement_v) == Approx(253.0 - 115.0).epsilon(1e-9));
    CHECK(state.customers[0].line_to_neutral_v[static_cast<std::size_t>(phase - 1)] ==
          Approx(115.0).epsilon(1e-9));
    CHECK(state.kirchhoff_residual_ratio <= 1e-10);
    CHECK(state.other_displacement_v.empty());
  }
}
