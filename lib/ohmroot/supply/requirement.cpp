// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/wording.hpp>
#include <ohmroot/supply/published.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>

namespace ohmroot::supply {

namespace {

using namespace detail;

constexpr double rules_voltage_factor_ratio = 1.1;
constexpr double rules_cap_ohm = 200.0;
// 2^14 corners take about a second with constant power; a supply that needs more is not met in practice.
constexpr std::size_t greatest_dimension_count = 14;

Requirement requirement_for(const Setting& setting) {
  Requirement requirement;
  requirement.name = setting.name;
  requirement.model = setting.model;
  requirement.source = "derived from circuit theory";
  const auto uncovered = [&requirement](std::string why) {
    requirement.outcome = RequirementOutcome::not_covered;
    requirement.why = std::move(why);
    return requirement;
  };
  std::optional<Worst> worst;
  for (const Scene& scene : scenes_of(setting)) {
    const WorstCase search(setting, scene);
    if (search.dimension_count() > greatest_dimension_count) {
      return uncovered(fmt::format("{} intervals at once, of the source voltage and of groups of loads that "
                                   "differ in phase, power factor or "
                                   "model: no more than {} are searched; give loads that are alike as one, "
                                   "or a current that does not change",
                                   search.dimension_count(), greatest_dimension_count));
    }
    Worst found = search.find();
    if (worst && worst->need.conductance_s >= found.need.conductance_s) continue;
    requirement.at_current_a = search.currents_a(found.circuit);
    worst = std::move(found);
  }
  const double conductance_s = worst->need.conductance_s;
  requirement.at_source_v = worst->circuit.source_v;
  if (conductance_s <= 0.0) {
    requirement.outcome = RequirementOutcome::none_needed;
  } else if (conductance_s >= unbounded_s) {
    requirement.outcome = RequirementOutcome::none_suffices;
  } else {
    requirement.resistance_ohm = 1.0 / conductance_s;
  }
  requirement.expression = worked_expression(*worst, setting.question.limit_v);
  requirement.why = case_sentence(setting.question, requirement, *worst);
  return requirement;
}

Requirement rules_expression(const RequirementQuestion& question) {
  const Supply& supply = question.supply;
  const double source_v = rules_voltage_factor_ratio * supply.nominal_v;
  Requirement requirement;
  requirement.name = "rules' expression";
  requirement.is_rules_expression = true;
  requirement.at_source_v = source_v;
  std::array<double, 3> phase_a{};
  for (const Load& load : question.loads) {
    const double current_a = std::max(0.0, load.greatest_current_a);
    requirement.at_current_a.push_back(current_a);
    phase_a[static_cast<std::size_t>(load.phase - 1)] += current_a;
  }
  const double sum_a = std::accumulate(phase_a.begin(), phase_a.end(), 0.0);
  const double neutral_a = neutral_current_a(phase_a);
  const std::string limit = volts(question.limit_v);
  const std::string nominal = volts(supply.nominal_v);
  const double excess_va = source_v * neutral_a - question.limit_v * sum_a;
  if (excess_va > 0.0)
    requirement.resistance_ohm = question.limit_v * supply.nominal_v / excess_va;
  else
    requirement.outcome = RequirementOutcome::none_needed;
  const std::string result = excess_va > 0.0 ? " = " + ohms(requirement.resistance_ohm) : "";
  if (supply.phase_count == 1) {
    requirement.expression =
        fmt::format("{0} x {1} / ({2} x ({3} x {1} - {0})){4}", limit, nominal, amperes(sum_a),
                    rules_voltage_factor_ratio, excess_va > 0.0 ? result : ": none needed");
    requirement.source =
        "BS 7671 Annex A722, A722.3, single-phase form (from memory; check the licensed text)";
    requirement.why =
        "a number of the rules: greatest currents added without regard to power factor, whatever "
        "the load model";
    return requirement;
  }
  requirement.expression = fmt::format(
      "{0} x {1} / ({2} x {1} x {3} - {0} x {4}){5}, with {3} in the neutral and {4} as the sum of phases",
      limit, nominal, rules_voltage_factor_ratio, amperes(neutral_a), amperes(sum_a),
      excess_va > 0.0 ? result : ": none needed");
  requirement.source =
      "derived: three-phase counterpart of BS 7671 Annex A722, A722.3, whose own text was not "
      "seen; neutral current by A722.1 (quoted second-hand)";
  requirement.why = "a number of the rules: greatest currents of all phases at once, without regard to power "
                    "factor; a lower load on one phase can be worse";
  if (excess_va <= 0.0 || requirement.resistance_ohm > rules_cap_ohm) {
    requirement.why += fmt::format("; common practice, not checked against the licensed text, caps the "
                                   "three-phase result at {} ohm",
                                   rules_cap_ohm);
  }
  return requirement;
}

double counted_ohm(const Requirement& requirement) {
  switch (requirement.outcome) {
  case RequirementOutcome::none_needed:
    return std::numeric_limits<double>::infinity();
  case RequirementOutcome::none_suffices:
    return 0.0;
  case RequirementOutcome::limited:
    return requirement.resistance_ohm;
  case RequirementOutcome::not_covered:
    break;
  }
  throw InternalError("an undecided requirement has no resistance");
}

}  // namespace

std::vector<Requirement> requirements(const RequirementQuestion& question) {
  require_valid(question);
  std::vector<Requirement> all;
  for (const Setting& setting : settings_of(question))
    all.push_back(requirement_for(setting));
  all.push_back(rules_expression(question));
  return all;
}

RequirementSpan span_of(const std::vector<Requirement>& requirements) {
  RequirementSpan span;
  for (const Requirement& requirement : requirements) {
    if (requirement.outcome == RequirementOutcome::not_covered) {
      span.has_uncovered = true;
      continue;
    }
    if (!span.strictest || counted_ohm(requirement) < counted_ohm(*span.strictest)) {
      span.strictest = &requirement;
    }
    if (!span.most_lenient || counted_ohm(requirement) > counted_ohm(*span.most_lenient)) {
      span.most_lenient = &requirement;
    }
  }
  return span;
}

}  // namespace ohmroot::supply
