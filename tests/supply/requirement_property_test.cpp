// SPDX-License-Identifier: MIT
#include "helpers.hpp"

#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot::supply;

namespace {

constexpr double limit_v = 70.0;

/// Loads with a minimum anywhere from nothing to all, each stating its model.
RequirementQuestion random_question(Draw& draw, int phase_count) {
  RequirementQuestion question;
  question.supply.phase_count = phase_count;
  question.supply.is_sequence_reversed = draw.chance(0.5);
  if (draw.chance(0.3)) question.supply.source_earth_ohm = draw.log_between(0.01, 1.0);
  const double share = draw.chance(0.3) ? 0.0 : 1.0;
  for (const DefiniteLoad& definite : lagging_loads(draw, phase_count)) {
    Load load;
    load.phase = definite.phase;
    load.greatest_current_a = definite.current_a;
    load.least_current_a = definite.current_a * share * draw.between(0.0, 1.0);
    load.power_factor_ratio = definite.power_factor_ratio;
    load.current_ceiling_a = definite.current_ceiling_a;
    load.stated_model = definite.model;
    question.loads.push_back(load);
  }
  return question;
}

OpenPenCircuit circuit_of(const RequirementQuestion& question, double source_v,
                          const std::vector<double>& current_a, double resistance_ohm) {
  OpenPenCircuit circuit;
  circuit.source_v = source_v;
  circuit.nominal_v = question.supply.nominal_v;
  circuit.is_sequence_reversed = question.supply.is_sequence_reversed;
  circuit.source_earth_ohm = question.supply.source_earth_ohm;
  circuit.earth_path_ohm = {resistance_ohm};
  for (std::size_t k = 0; k < question.loads.size(); ++k) {
    const Load& load = question.loads[k];
    circuit.loads.push_back({load.phase, current_a[k], load.power_factor_ratio, load.is_leading,
                             *load.stated_model, load.current_ceiling_a});
  }
  return circuit;
}

}  // namespace

TEST_CASE("the limit comes back when the required resistance is put in", "[supply][property]") {
  Draw draw(21);
  int limited_count = 0;
  for (int trial = 0; trial < 400; ++trial) {
    const RequirementQuestion question = random_question(draw, trial % 2 == 0 ? 1 : 3);
    const auto all = requirements(question);
    const Requirement& requirement = all.front();
    if (requirement.outcome != RequirementOutcome::limited) continue;
    ++limited_count;
    const OpenPenState state = open_pen_state(
        circuit_of(question, requirement.at_source_v, requirement.at_current_a, requirement.resistance_ohm));
    if (requirement.expression.find("lose their operating point") != std::string::npos) continue;
    REQUIRE(state.status == OpenPenStatus::solved);
    REQUIRE(std::abs(state.met_v) == Approx(limit_v).epsilon(1e-9));
  }
  CHECK(limited_count > 200);
}

TEST_CASE("every smaller resistance keeps the limit, at every load and voltage within the ranges",
          "[supply][property]") {
  Draw draw(22);
  for (int trial = 0; trial < 400; ++trial) {
    const RequirementQuestion question = random_question(draw, trial % 2 == 0 ? 1 : 3);
    const auto all = requirements(question);
    const Requirement& requirement = all.front();
    if (requirement.outcome == RequirementOutcome::none_suffices) continue;
    const double greatest_ohm =
        requirement.outcome == RequirementOutcome::limited ? requirement.resistance_ohm : 1e6;
    for (int inner = 0; inner < 40; ++inner) {
      std::vector<double> current_a;
      for (const Load& load : question.loads) {
        current_a.push_back(draw.between(load.least_current_a, load.greatest_current_a));
      }
      const double source_v = draw.between(question.supply.lowest_v, question.supply.highest_v);
      const double resistance_ohm = greatest_ohm * (draw.chance(0.5) ? 1.0 - 1e-9 : draw.between(0.01, 1.0));
      const OpenPenState state = open_pen_state(circuit_of(question, source_v, current_a, resistance_ohm));
      REQUIRE(state.status == OpenPenStatus::solved);
      REQUIRE(std::abs(state.met_v) <= limit_v * (1.0 + 1e-7));
    }
  }
}

TEST_CASE("no load within its interval asks for less than the worst case does", "[supply][property]") {
  Draw draw(23);
  for (int trial = 0; trial < 150; ++trial) {
    const RequirementQuestion question = random_question(draw, trial % 2 == 0 ? 1 : 3);
    const double worst_ohm = requirements(question).front().resistance_ohm;
    if (requirements(question).front().outcome != RequirementOutcome::limited) continue;
    for (int inner = 0; inner < 10; ++inner) {
      RequirementQuestion one = question;
      one.supply.lowest_v = one.supply.highest_v =
          draw.between(question.supply.lowest_v, question.supply.highest_v);
      for (Load& load : one.loads) {
        load.least_current_a = load.greatest_current_a =
            std::max(1e-6, draw.between(load.least_current_a, load.greatest_current_a));
      }
      const Requirement inside = requirements(one).front();
      REQUIRE(inside.outcome != RequirementOutcome::none_suffices);
      if (inside.outcome == RequirementOutcome::limited) {
        REQUIRE(inside.resistance_ohm >= worst_ohm * (1.0 - 1e-7));
      }
    }
  }
}

TEST_CASE("a requirement scales as one over the currents", "[supply][property]") {
  Draw draw(24);
  for (int trial = 0; trial < 200; ++trial) {
    RequirementQuestion question = random_question(draw, trial % 2 == 0 ? 1 : 3);
    question.supply.source_earth_ohm = 0.0;
    const Requirement before = requirements(question).front();
    for (Load& load : question.loads) {
      load.least_current_a *= 2.0;
      load.greatest_current_a *= 2.0;
      load.current_ceiling_a *= 2.0;
    }
    const Requirement after = requirements(question).front();
    REQUIRE(after.outcome == before.outcome);
    REQUIRE(after.resistance_ohm == Approx(before.resistance_ohm / 2.0).epsilon(1e-7));
  }
}
