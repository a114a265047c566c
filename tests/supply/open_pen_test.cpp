// SPDX-License-Identifier: MIT
#include "circuit_rows.hpp"
#include "helpers.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/published.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

using namespace ohmroot;
using namespace ohmroot::supply;

namespace {

OpenPenCircuit circuit_of(const rows::Row& row) {
  OpenPenCircuit circuit;
  circuit.source_v = row.source_v;
  circuit.is_sequence_reversed = row.is_sequence_reversed;
  circuit.source_earth_ohm = row.source_earth_ohm;
  circuit.earth_path_ohm = row.earth_path_ohm;
  for (const rows::RowLoad& load : row.loads) {
    DefiniteLoad definite{load.phase, load.current_a, load.power_factor_ratio, load.is_leading, load.model};
    circuit.loads.push_back(definite);
  }
  return circuit;
}

/// Resistances in star, as the printed examples have them: loads of unity power factor at 1 V nominal.
OpenPenCircuit star_of_resistances(const std::array<double, 3>& resistance_ohm, double source_v) {
  OpenPenCircuit circuit;
  circuit.source_v = source_v;
  circuit.nominal_v = 1.0;
  for (int phase = 1; phase <= 3; ++phase) {
    circuit.loads.push_back({phase, 1.0 / resistance_ohm[static_cast<std::size_t>(phase - 1)]});
  }
  return circuit;
}

double share_across(double resistance_ohm, double branch_ohm, double branch_v) {
  return branch_v * resistance_ohm / branch_ohm;
}

}  // namespace

TEST_CASE("circuits computed independently come out alike", "[supply]") {
  for (const rows::Row& row : rows::computed_rows()) {
    INFO(row.name);
    const OpenPenState state = open_pen_state(circuit_of(row));
    if (!row.state) {
      CHECK(state.status == OpenPenStatus::no_operating_point);
      CHECK_FALSE(state.why.empty());
      continue;
    }
    REQUIRE(state.status == OpenPenStatus::solved);
    const double scale_v = std::abs(row.state->met_v);
    CHECK(std::abs(state.met_v - row.state->met_v) <= rows::relative_tolerance * scale_v);
    for (std::size_t k = 0; k < 3; ++k) {
      CHECK(state.line_to_neutral_v[k] ==
            Approx(row.state->line_to_neutral_v[k]).epsilon(rows::relative_tolerance));
    }
    CHECK(state.electrode_current_a ==
          Approx(row.state->electrode_current_a).epsilon(rows::relative_tolerance));
    CHECK(state.electrode_power_w == Approx(row.state->electrode_power_w).epsilon(rows::relative_tolerance));
    CHECK(std::abs(state.star_point_v) ==
          Approx(row.state->star_point_v).epsilon(rows::relative_tolerance).margin(1e-12));
    CHECK(is_outside_window(state.line_to_neutral_v) == row.state->is_outside_window);
    CHECK(state.kirchhoff_residual_ratio <= 1e-10);
  }
}

TEST_CASE("every path to earth carries its own share", "[supply]") {
  // Computed independently (see circuit_rows.hpp): four customers, electrodes of 2 and 21 ohm, 20 ohm at the
  // end of the main.
  OpenPenCircuit circuit;
  circuit.earth_path_ohm = {2.0, 21.0, 20.0};
  circuit.loads = {{1, 25.0}, {2, 10.0}, {3, 15.0}, {1, 32.0}};
  const OpenPenState state = open_pen_state(circuit);
  const std::array<double, 3> current_a{25.7725046, 2.45452425, 2.57725046};
  const std::array<double, 3> power_w{1328.44398, 126.518475, 132.844398};
  REQUIRE(state.path_current_a.size() == 3);
  for (std::size_t k = 0; k < 3; ++k) {
    CHECK(state.path_current_a[k] == Approx(current_a[k]).epsilon(1e-5));
    CHECK(state.path_power_w[k] == Approx(power_w[k]).epsilon(1e-5));
  }
}

TEST_CASE("the printed open-neutral star of 392 V peak is reproduced", "[supply][published]") {
  // Demonstration printed in the test plan of a public circuit simulator: 10, 20 and 40 ohm loads, each behind
  // 0.5 ohm (inferred from its 373 / 382 / 387 V), open neutral; it prints 144 V, about 250 V and about 500 V
  // peak. Printed to two or three figures.
  const std::array<double, 3> branch_ohm{10.5, 20.5, 40.5};
  OpenPenCircuit circuit = star_of_resistances(branch_ohm, 392.0);
  circuit.earth_path_ohm = {1e6};
  const OpenPenState open = open_pen_state(circuit);
  CHECK(std::abs(open.met_v) == Approx(144.0).epsilon(0.015));
  CHECK(share_across(10.0, 10.5, open.line_to_neutral_v[0]) == Approx(250.0).epsilon(0.015));
  CHECK(share_across(40.0, 40.5, open.line_to_neutral_v[2]) == Approx(500.0).epsilon(0.015));
  // The same plan with 1 ohm in the neutral prints 20.8 V at -20 degrees and 355 / 387 / 403 V.
  circuit.earth_path_ohm = {1.0};
  const OpenPenState joined = open_pen_state(circuit);
  CHECK(std::abs(joined.met_v) == Approx(20.8).epsilon(0.015));
  CHECK(std::arg(joined.met_v) * 180.0 / std::acos(-1.0) == Approx(-20.0).margin(0.5));  // whole degrees
  CHECK(share_across(10.0, 10.5, joined.line_to_neutral_v[0]) == Approx(355.0).epsilon(0.015));
  CHECK(share_across(20.0, 20.5, joined.line_to_neutral_v[1]) == Approx(387.0).epsilon(0.015));
  CHECK(share_across(40.0, 40.5, joined.line_to_neutral_v[2]) == Approx(403.0).epsilon(0.015));
}

TEST_CASE("six half hours of an invented home come out as computed independently", "[supply]") {
  // Computed independently (see circuit_rows.hpp); a charge point of 32 A on phase 1 in the last three.
  const std::array<std::array<double, 3>, 6> base_a{
      {{4, 3, 5}, {6, 10, 4}, {12, 8, 9}, {20, 15, 18}, {9, 7, 11}, {3, 2, 4}}};
  const std::array<double, 6> met_v{7.55532507, 20.2840934, 12.1627263, 68.7444328, 77.5552317, 93.1936862};
  for (std::size_t k = 0; k < base_a.size(); ++k) {
    OpenPenCircuit circuit;
    circuit.earth_path_ohm = {5.0};
    circuit.loads = {{1, base_a[k][0]}, {2, base_a[k][1]}, {3, base_a[k][2]}, {1, k >= 3 ? 32.0 : 0.0}};
    CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(met_v[k]).epsilon(1e-5));
  }
}

TEST_CASE("constant power has no operating point beyond the quarter rule", "[supply]") {
  // u^2 - E u + P R = 0 has no root above R = E^2 / (4 U0 I): circuit theory.
  for (const double current_a : {6.0, 13.0, 20.0, 32.0, 45.0, 60.0, 80.0}) {
    const double last_ohm = 253.0 * 253.0 / (4.0 * 230.0 * current_a);
    OpenPenCircuit circuit;
    circuit.loads = {{1, current_a, 1.0, false, LoadModel::constant_power}};
    circuit.earth_path_ohm = {last_ohm * (1.0 - 1e-9)};
    const OpenPenState before = open_pen_state(circuit);
    REQUIRE(before.status == OpenPenStatus::solved);
    CHECK(std::abs(before.met_v) == Approx(126.5).epsilon(1e-4));
    circuit.earth_path_ohm = {last_ohm * (1.0 + 1e-9)};
    CHECK(open_pen_state(circuit).status == OpenPenStatus::no_operating_point);
  }
}

TEST_CASE("a current ceiling ends the growth of a constant-power load", "[supply]") {
  // Below 230 V across it a 32 A load with a ceiling of 32 A draws 32 A: V = 32 R.
  OpenPenCircuit circuit;
  circuit.earth_path_ohm = {2.0};
  circuit.loads = {{1, 32.0, 1.0, false, LoadModel::constant_power, 32.0}};
  CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(64.0).epsilon(1e-12));
  circuit.loads[0].current_ceiling_a = std::numeric_limits<double>::infinity();
  // u = (E + sqrt(E^2 - 4 P R)) / 2 without the ceiling.
  const double load_v = (253.0 + std::sqrt(253.0 * 253.0 - 4.0 * 7360.0 * 2.0)) / 2.0;
  CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(253.0 - load_v).epsilon(1e-12));
}

TEST_CASE("the branch that ends is not silently swapped for one beyond it", "[supply]") {
  // 32 A of constant power with a ceiling of 80 A: the healthy branch ends at E^2/(4 P) = 2.174 ohm, where u
  // is 126.5 V; the ceiling gives a point again at lower voltages, which is not reached from there smoothly.
  OpenPenCircuit circuit;
  circuit.loads = {{1, 32.0, 1.0, false, LoadModel::constant_power, 80.0}};
  circuit.earth_path_ohm = {2.5};
  const OpenPenState state = open_pen_state(circuit);
  CHECK(state.status == OpenPenStatus::no_operating_point);
  CHECK(state.why.find("2.174 ohm") != std::string::npos);
}

TEST_CASE("a source earth raises the MET under constant power and lowers it under constant impedance",
          "[supply]") {
  OpenPenCircuit circuit;
  circuit.earth_path_ohm = {1.5};
  for (const LoadModel model : {LoadModel::constant_impedance, LoadModel::constant_power}) {
    circuit.loads = {{1, 32.0, 1.0, false, model}};
    circuit.source_earth_ohm = 0.0;
    const double without_v = std::abs(open_pen_state(circuit).met_v);
    circuit.source_earth_ohm = 0.3;
    const OpenPenState with = open_pen_state(circuit);
    CHECK((std::abs(with.met_v) > without_v) == (model == LoadModel::constant_power));
    CHECK(with.kirchhoff_residual_ratio <= 1e-10);
    // The star point is pushed the other way by the same current.
    CHECK(std::abs(with.star_point_v + with.met_v * 0.2) <= 1e-12 * std::abs(with.met_v));
  }
}

TEST_CASE("a reversed sequence is another voltage where power factors differ", "[supply]") {
  OpenPenCircuit circuit;
  circuit.earth_path_ohm = {5.0};
  circuit.loads = {{1, 50.0}, {2, 40.0, 0.6}, {3, 20.0}};
  const double straight_v = std::abs(open_pen_state(circuit).met_v);
  circuit.is_sequence_reversed = true;
  CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(103.967211).epsilon(1e-5));
  CHECK(straight_v < 80.0);
}

TEST_CASE("circuits without a state to report say why", "[supply]") {
  OpenPenCircuit circuit;
  const auto status = [&circuit] {
    const OpenPenState state = open_pen_state(circuit);
    CHECK_FALSE(state.why.empty());
    return state.status;
  };
  circuit.loads = {};
  CHECK(status() == OpenPenStatus::not_covered);  // nothing holds the MET
  circuit.loads = {{1, 60.0, 1.0, false, LoadModel::constant_power}, {2, 20.0}};
  circuit.earth_path_ohm = {10.0};
  CHECK(status() == OpenPenStatus::no_operating_point);
  circuit.loads = {{1, -16.0}};
  circuit.earth_path_ohm = {100.0};  // more export than the earth takes
  CHECK(status() == OpenPenStatus::no_operating_point);
  circuit.loads = {{1, 32.0, 1.0, false, LoadModel::constant_current}};
  circuit.earth_path_ohm = {};
  CHECK(status() == OpenPenStatus::no_operating_point);
}

TEST_CASE("without load the MET stays at earth, and export alone can lift it", "[supply]") {
  OpenPenCircuit circuit;
  circuit.earth_path_ohm = {10.0};
  const OpenPenState idle = open_pen_state(circuit);
  CHECK(idle.status == OpenPenStatus::solved);
  CHECK(std::abs(idle.met_v) == 0.0);
  CHECK(idle.kirchhoff_residual_ratio == 0.0);
  circuit.loads = {{1, -10.0}};
  CHECK(std::abs(open_pen_state(circuit).met_v) == Approx(253.0 * (10.0 / 230.0) / (0.1 - 10.0 / 230.0)));
}

TEST_CASE("a circuit outside its ranges is refused with the field named", "[supply]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto spoil) {
    OpenPenCircuit circuit;
    circuit.earth_path_ohm = {10.0};
    circuit.loads = {{1, 32.0}};
    spoil(circuit);
    try {
      static_cast<void>(open_pen_state(circuit));
    } catch (const DomainError& error) {
      return error.argument();
    }
    return std::string("accepted");
  };
  CHECK(refused([](OpenPenCircuit&) {}) == "accepted");
  CHECK(refused([](OpenPenCircuit& c) { c.loads[0].power_factor_ratio = 1.01; }) ==
        "load.power_factor_ratio");
  CHECK(refused([](OpenPenCircuit& c) { c.loads[0].power_factor_ratio = 0.0; }) == "load.power_factor_ratio");
  CHECK(refused([](OpenPenCircuit& c) { c.loads[0].phase = 4; }) == "load.phase");
  CHECK(refused([nan](OpenPenCircuit& c) { c.loads[0].current_a = nan; }) == "load.current_a");
  CHECK(refused([](OpenPenCircuit& c) { c.loads[0].current_ceiling_a = 16.0; }) == "load.current_ceiling_a");
  CHECK(refused([](OpenPenCircuit& c) { c.earth_path_ohm = {10.0, 0.0}; }) == "circuit.earth_path_ohm");
  CHECK(refused([nan](OpenPenCircuit& c) { c.source_v = nan; }) == "circuit.source_v");
  CHECK(refused([](OpenPenCircuit& c) { c.nominal_v = 0.0; }) == "circuit.nominal_v");
  CHECK(refused([](OpenPenCircuit& c) { c.source_earth_ohm = -1.0; }) == "circuit.source_earth_ohm");
}
