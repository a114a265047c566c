// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/load.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::supply {

enum class RequirementOutcome {
  limited,        ///< resistance_ohm is the largest total that keeps the limit
  none_needed,    ///< the limit holds without an electrode, for this load; not by itself a permitted route
  none_suffices,  ///< no resistance above zero keeps the limit
  not_covered
};

/// The largest resistance from the MET to earth that keeps the MET within the limit, for one load model:
/// every smaller resistance keeps it too.
struct Requirement {
  std::string name;                  ///< "constant power", "stated load models", "rules' expression"
  std::optional<LoadModel> model;    ///< none for the rules' expression and for a mix of stated models
  bool is_rules_expression = false;  ///< a number of the rules, not a state of the circuit
  RequirementOutcome outcome = RequirementOutcome::limited;
  double resistance_ohm = 0.0;       ///< of all earth paths together, conductor included; 0 unless limited
  double at_source_v = 0.0;          ///< voltage at which it binds
  std::vector<double> at_current_a;  ///< load currents (at nominal voltage) at which it binds, one per load
  std::string expression;            ///< as a hand would work it, numbers put in
  std::string source;                ///< publication and clause, or "derived"
  std::string why;                   ///< what makes it the worst case, or why it is not decided
};

struct RequirementQuestion {
  Supply supply;
  std::vector<Load> loads;
  double limit_v = 70.0;
};

/// One requirement per load model that applies (all three, unless every load states one; a load that states
/// one keeps it), each the least over the voltage range and over the load intervals, and last the rules'
/// expression (constant impedance at 1.1 times nominal, greatest currents, source earth 0).
/// Any phases, power factors and models, drawing or exporting, exact source earth; more than 13 groups of
/// loads that differ in phase, power factor or model: not_covered. Where the worst case is not provably at a corner of the intervals, the interior is searched.
/// Throws DomainError if no load has a current above 0, or if lowest_v > highest_v, or for a load outside the
/// ranges documented at its fields.
[[nodiscard]] std::vector<Requirement> requirements(const RequirementQuestion& question);

/// Strictest and most lenient of a set: 'feasible' needs the first, 'not feasible' the second.
/// Both are null if nothing could be decided; they point into the vector asked about.
struct RequirementSpan {
  const Requirement* strictest = nullptr;     ///< none_suffices counts as 0 ohm
  const Requirement* most_lenient = nullptr;  ///< none_needed counts as infinite
  bool has_uncovered = false;                 ///< some model could not be decided
};
[[nodiscard]] RequirementSpan span_of(const std::vector<Requirement>& requirements);

}  // namespace ohmroot::supply
