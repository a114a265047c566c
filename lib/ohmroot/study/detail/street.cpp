// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/detail/street.hpp>
#include <ohmroot/study/detail/verdict.hpp>
#include <ohmroot/study/governing_load.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/study/street.hpp>

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace ohmroot::study::detail {
namespace {

/// One break, asked as if it were the only one that counts: the site holds the loads beyond it.
class BreakQuestion {
public:
  BreakQuestion(Site site, const SoilPicture& soil, std::vector<supply::Requirement> requirements)
      : site_(std::move(site)), requirements_(std::move(requirements)),
        governing_(governing_load(site_, requirements_)) {
    site_.street.reset();
    site_.break_position = BreakPosition::own_service;
    limits_ = limits_of(supply::span_of(requirements_));
    caps_ = caps_of(site_, soil, requirements_);
  }

  /// The candidate, its resistance to earth that of all ways beyond this break.
  [[nodiscard]] BreakAnswer answer(CandidateResult candidate) const {
    candidate.verdict = Verdict::undecided;
    candidate.why.clear();
    judge(site_, limits_, caps_, candidate);
    BreakAnswer answer{candidate.verdict, candidate.why, candidate.to_earth_ohm, {}};
    supply::OpenPenCircuit circuit = governing_.circuit;
    if (std::isfinite(candidate.to_earth_ohm.value))
      circuit.earth_path_ohm.push_back(candidate.to_earth_ohm.value);
    answer.state_at_value = supply::open_pen_state(circuit);
    return answer;
  }
  [[nodiscard]] const std::string& load() const { return governing_.description; }
  [[nodiscard]] const std::vector<supply::Requirement>& requirements() const { return requirements_; }

private:
  Site site_;
  std::vector<supply::Requirement> requirements_;
  GoverningLoad governing_;
  Limits limits_;
  Caps caps_;
};

/// The own ways to earth with the street's beside them.
Estimate with_street_paths(const Estimate& own, const Street& street) {
  const auto all_ohm = [&](double own_ohm) { return with_relied_on_paths_ohm(own_ohm, street.earth_paths); };
  return {all_ohm(own.value), all_ohm(own.least), all_ohm(own.greatest),
          own.basis + "; in parallel with what is relied on in the street"};
}

bool is_worse(Verdict a, Verdict b) {
  const auto rank = [](Verdict verdict) {
    return verdict == Verdict::feasible ? 0 : verdict == Verdict::undecided ? 1 : 2;
  };
  return rank(a) > rank(b);
}

std::string rule_sentence(const Site& site) {
  if (!does_street_count(site)) {
    return fmt::format("Only a break in the own service counts: {}.{}", site.break_reason,
                       site.street ? " The street is shown beside it and decides nothing." : "");
  }
  if (site.street) {
    return "The PEN may break in the own service or up the street: the worse of the two answers is the "
           "verdict.";
  }
  return "Where the PEN may break is not limited to the own service, and nothing is known of the street, "
         "whose "
         "loads and ways to earth set the voltage of a break there: the answer for the own service alone is "
         "not "
         "enough for 'feasible'.";
}

}  // namespace

void compare_breaks(StudyResult& result) {
  const Site& site = result.site;
  BreakComparison& breaks = result.breaks;
  breaks.sentence = rule_sentence(site);
  const BreakQuestion own(site, result.soil, result.requirements);
  for (const CandidateResult& candidate : result.candidates)
    breaks.own_service.push_back(own.answer(candidate));
  if (!site.street) return;
  const Site seen = seen_from_street(site);
  const BreakQuestion street(seen, result.soil,
                             supply::requirements({seen.supply, seen.loads, seen.limit_v}));
  breaks.street_requirements = street.requirements();
  breaks.street_load = street.load();
  for (std::size_t k = 0; k < result.candidates.size(); ++k) {
    CandidateResult& candidate = result.candidates[k];
    CandidateResult beyond = candidate;
    beyond.to_earth_ohm = with_street_paths(candidate.to_earth_ohm, *site.street);
    breaks.street.push_back(street.answer(std::move(beyond)));
    if (!does_street_count(site)) continue;
    const BreakAnswer& here = breaks.own_service[k];
    const BreakAnswer& there = breaks.street[k];
    candidate.verdict = is_worse(there.verdict, here.verdict) ? there.verdict : here.verdict;
    candidate.why = fmt::format("break in the own service: {} ({}); break up the street: {} ({})",
                                verdict_name(here.verdict), here.why, verdict_name(there.verdict), there.why);
  }
}

std::string break_words(const StudyResult& result) {
  const Site& site = result.site;
  const std::string stated =
      site.break_position == BreakPosition::unstated
          ? "not stated"
          : fmt::format("{} ({})", break_position_word(site.break_position), site.break_reason);
  if (site.street && does_street_count(site))
    return stated + "; own service and street are both judged, and the worse of the two answers counts.";
  if (site.break_position == BreakPosition::unstated)
    return stated + "; the numbers are those of a break in the customer's own service.";
  return stated + ". The numbers are those of a break in the customer's own service.";
}

std::string held_break_words(const StudyResult& result) {
  return result.site.street && does_street_count(result.site)
             ? "in the property's own service or up the street, with the loads stated there"
             : "in the property's own service";
}

std::string side_by_side_words(const StudyResult& result) {
  if (!result.governing_candidate || !does_street_count(result.site)) return {};
  const std::size_t k = *result.governing_candidate;
  const std::string& name = result.candidates[k].name;
  const std::string own = verdict_name(result.breaks.own_service.at(k).verdict);
  if (result.breaks.street.empty()) {
    if (result.verdict == Verdict::not_feasible) return {};  // a failure at home needs no street
    return fmt::format(" For a break in the own service alone '{}' would be: {}.", name, own);
  }
  return fmt::format(" '{}', break in the own service: {}; break up the street: {}.", name, own,
                     verdict_name(result.breaks.street.at(k).verdict));
}

std::string street_rest_words(const StudyResult& result) {
  if (!result.governing_candidate || !does_street_count(result.site) || result.breaks.street.empty())
    return {};
  const std::size_t k = *result.governing_candidate;
  const BreakAnswer& street = result.breaks.street.at(k);
  if (!is_worse(street.verdict, result.breaks.own_service.at(k).verdict)) return {};
  return fmt::format("'{}', break up the street: {}.", result.candidates[k].name, street.why);
}

}  // namespace ohmroot::study::detail
