// SPDX-License-Identifier: MIT
#include "helpers.hpp"

#include <ohmroot/supply/open_pen.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>

using namespace ohmroot::supply;

namespace {

constexpr int trial_count = 2000;

OpenPenCircuit random_circuit(Draw& draw, int phase_count) {
  OpenPenCircuit circuit;
  circuit.source_v = draw.between(200.0, 260.0);
  circuit.is_sequence_reversed = draw.chance(0.5);
  if (draw.chance(0.3)) circuit.source_earth_ohm = draw.log_between(0.1, 10.0);
  const int path_count = draw.integer(1, 3);
  for (int k = 0; k < path_count; ++k)
    circuit.earth_path_ohm.push_back(draw.log_between(0.1, 500.0));
  circuit.loads = lagging_loads(draw, phase_count);
  return circuit;
}

}  // namespace

TEST_CASE("Kirchhoff holds to 1e-10 in random circuits of every kind", "[supply][property]") {
  Draw draw(11);
  int solved_count = 0;
  for (int trial = 0; trial < 2 * trial_count; ++trial) {
    OpenPenCircuit circuit = random_circuit(draw, trial % 2 == 0 ? 1 : 3);
    if (draw.chance(0.3)) {
      for (DefiniteLoad& load : circuit.loads)
        load.is_leading = draw.chance(0.5);
    }
    const OpenPenState state = open_pen_state(circuit);
    if (state.status != OpenPenStatus::solved) continue;
    ++solved_count;
    REQUIRE(state.kirchhoff_residual_ratio <= 1e-10);
    REQUIRE(std::isfinite(std::abs(state.met_v)));
  }
  CHECK(solved_count > trial_count);
}

TEST_CASE("turning the phases round by one changes no magnitude", "[supply][property]") {
  Draw draw(12);
  for (int trial = 0; trial < trial_count; ++trial) {
    const OpenPenCircuit circuit = random_circuit(draw, 3);
    OpenPenCircuit turned = circuit;
    for (DefiniteLoad& load : turned.loads)
      load.phase = load.phase % 3 + 1;
    // Swapping phases 2 and 3 and the sequence with them is the same circuit too.
    OpenPenCircuit mirrored = circuit;
    mirrored.is_sequence_reversed = !mirrored.is_sequence_reversed;
    for (DefiniteLoad& load : mirrored.loads)
      load.phase = load.phase == 1 ? 1 : 5 - load.phase;
    const OpenPenState a = open_pen_state(circuit);
    const OpenPenState b = open_pen_state(turned);
    const OpenPenState c = open_pen_state(mirrored);
    const double margin_v = 1e-12 * circuit.source_v;
    REQUIRE(std::abs(b.met_v) == Approx(std::abs(a.met_v)).epsilon(1e-12).margin(margin_v));
    REQUIRE(std::abs(c.met_v) == Approx(std::abs(a.met_v)).epsilon(1e-12).margin(margin_v));
    for (std::size_t k = 0; k < 3; ++k) {
      REQUIRE(b.line_to_neutral_v[(k + 1) % 3] == Approx(a.line_to_neutral_v[k]).epsilon(1e-12));
      REQUIRE(c.line_to_neutral_v[k == 0 ? 0 : 3 - k] == Approx(a.line_to_neutral_v[k]).epsilon(1e-12));
    }
  }
}

TEST_CASE("a balanced load leaves the MET at 0 V to 1e-12", "[supply][property]") {
  Draw draw(13);
  for (int trial = 0; trial < trial_count; ++trial) {
    OpenPenCircuit circuit = random_circuit(draw, 1);
    if (draw.chance(0.3)) circuit.earth_path_ohm.clear();
    std::vector<DefiniteLoad> balanced;
    for (DefiniteLoad load : circuit.loads) {
      load.model = LoadModel::constant_impedance;
      for (int phase = 1; phase <= 3; ++phase) {
        load.phase = phase;
        balanced.push_back(load);
      }
    }
    circuit.loads = balanced;
    REQUIRE(std::abs(open_pen_state(circuit).met_v) <= 1e-12);
  }
}

TEST_CASE("a larger resistance to earth never lowers the MET of lagging loads", "[supply][property]") {
  Draw draw(14);
  for (int trial = 0; trial < trial_count; ++trial) {
    OpenPenCircuit circuit = random_circuit(draw, trial % 2 == 0 ? 1 : 3);
    double resistance_ohm = draw.log_between(0.05, 1.0);
    double before_v = 0.0;
    for (int step = 0; step < 12; ++step, resistance_ohm *= draw.between(1.05, 3.0)) {
      circuit.earth_path_ohm = {resistance_ohm};
      const OpenPenState state = open_pen_state(circuit);
      if (state.status != OpenPenStatus::solved) break;  // the branch has ended: nothing beyond it
      const double met_v = std::abs(state.met_v);
      REQUIRE(met_v >= before_v * (1.0 - 1e-12));
      before_v = met_v;
    }
  }
}

TEST_CASE("parallel paths act as one of their parallel resistance", "[supply][property]") {
  Draw draw(15);
  for (int trial = 0; trial < trial_count; ++trial) {
    OpenPenCircuit circuit = random_circuit(draw, 3);
    const OpenPenState many = open_pen_state(circuit);
    double conductance_s = 0.0;
    for (const double path_ohm : circuit.earth_path_ohm)
      conductance_s += 1.0 / path_ohm;
    circuit.earth_path_ohm = {1.0 / conductance_s};
    const OpenPenState one = open_pen_state(circuit);
    REQUIRE(std::abs(many.met_v - one.met_v) <= 1e-12 * circuit.source_v);
    REQUIRE(many.electrode_current_a == Approx(one.electrode_current_a).epsilon(1e-12).margin(1e-12));
  }
}

TEST_CASE("every model tends to the healthy state as the resistance goes to nothing", "[supply][property]") {
  Draw draw(16);
  for (int trial = 0; trial < trial_count; ++trial) {
    OpenPenCircuit circuit = random_circuit(draw, 1);
    circuit.source_earth_ohm = 0.0;
    circuit.earth_path_ohm = {1e-6};
    const OpenPenState state = open_pen_state(circuit);
    REQUIRE(state.status == OpenPenStatus::solved);
    double healthy_a = 0.0;  // no more than the magnitudes at the full source voltage
    for (const DefiniteLoad& load : circuit.loads)
      healthy_a += load.current_a * 260.0 / 200.0;
    REQUIRE(std::abs(state.met_v) <= 1e-6 * healthy_a);
    REQUIRE(std::abs(state.met_v) > 0.0);
  }
}

TEST_CASE("every resistance below the end of a branch has its operating point", "[supply][property]") {
  Draw draw(17);
  for (int trial = 0; trial < 300; ++trial) {
    // Constant power with some impedance beside it: the branch ends near half the source voltage, not at it.
    OpenPenCircuit circuit;
    circuit.loads = {
        {1, draw.log_between(5.0, 100.0), draw.between(0.5, 1.0), false, LoadModel::constant_power},
        {1, draw.log_between(1.0, 20.0), draw.between(0.5, 1.0)}};
    const auto is_solved = [&circuit](double resistance_ohm) {
      circuit.earth_path_ohm = {resistance_ohm};
      return open_pen_state(circuit).status == OpenPenStatus::solved;
    };
    double held_ohm = 1e-3;
    double lost_ohm = 1e3;
    REQUIRE(is_solved(held_ohm));
    REQUIRE_FALSE(is_solved(lost_ohm));
    for (int step = 0; step < 60; ++step) {
      const double middle_ohm = std::sqrt(held_ohm * lost_ohm);
      (is_solved(middle_ohm) ? held_ohm : lost_ohm) = middle_ohm;
    }
    for (double gap_ratio = 1e-1; gap_ratio > 1e-10; gap_ratio /= 3.0) {
      REQUIRE(is_solved(held_ohm * (1.0 - gap_ratio)));
      REQUIRE_FALSE(is_solved(held_ohm * (1.0 + gap_ratio)));
    }
  }
}
