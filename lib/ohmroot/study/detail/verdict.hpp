// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/methods.hpp>
#include <ohmroot/study/result.hpp>

#include <string>
#include <vector>

namespace ohmroot::study::detail {

/// Greatest resistance to earth that 'feasible' and 'not feasible' are judged by.
struct Limits {
  double strictest_ohm = 0.0;     ///< of all load models and the rules' expression; at most the stability cap
  double most_lenient_ohm = 0.0;  ///< infinite where one of them needs no electrode
  bool needs_none = false;        ///< every one of them needs no electrode
};
[[nodiscard]] Limits limits_of(const supply::RequirementSpan& span);

/// One reason for which a computed answer may not be given as a verdict, and what would lift it.
struct Cap {
  std::string reason;
  std::string next_step;
};

struct Caps {
  std::vector<Cap> on_feasible;  ///< each turns 'feasible' into 'cannot be decided'
  std::vector<Cap> on_any;       ///< each turns every verdict into 'cannot be decided'
};
[[nodiscard]] Caps caps_of(const Site& site, const SoilPicture& soil,
                           const std::vector<supply::Requirement>& requirements);

/// Sets verdict and why of one candidate.
void judge(const Site& site, const Limits& limits, const Caps& caps, CandidateResult& candidate);

/// Sets verdict, headline, what it rests on, holds for, assumptions, voiding conditions and next steps.
void conclude(const Limits& limits, const Caps& caps, StudyResult& result);

/// What the study knows of the permitted methods, once verdict and TT check are there.
[[nodiscard]] routes::MethodFacts method_facts(const StudyResult& result);

}  // namespace ohmroot::study::detail
