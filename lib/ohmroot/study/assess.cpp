// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/blind_region.hpp>
#include <ohmroot/study/detail/curves.hpp>
#include <ohmroot/study/detail/land_floor.hpp>
#include <ohmroot/study/detail/route_record.hpp>
#include <ohmroot/study/detail/separation.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/detail/street.hpp>
#include <ohmroot/study/detail/tt.hpp>
#include <ohmroot/study/detail/verdict.hpp>
#include <ohmroot/study/governing_load.hpp>
#include <ohmroot/study/rules.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::study {
namespace {

/// Open-PEN state at the load that governs, with or without the electrode.
supply::OpenPenState state_with(const Site& site, supply::OpenPenCircuit circuit,
                                std::optional<double> electrode_ohm) {
  if (electrode_ohm && std::isfinite(*electrode_ohm)) circuit.earth_path_ohm.push_back(*electrode_ohm);
  for (const OtherEarthPath& path : site.other_paths) {
    if (path.is_relied_on) circuit.earth_path_ohm.push_back(path.resistance_ohm);
  }
  return supply::open_pen_state(circuit);
}

/// Through the own electrode, the first of the earth paths; 0 where no state is known.
double own_current_a(const supply::OpenPenState& state) {
  const bool is_known = state.status == supply::OpenPenStatus::solved && !state.path_current_a.empty();
  return is_known ? std::abs(state.path_current_a.front()) : 0.0;
}

/// The candidate that the verdict speaks of: a feasible one, else the one nearest to it.
std::optional<std::size_t> governing_candidate(const std::vector<CandidateResult>& candidates) {
  if (candidates.empty()) return std::nullopt;
  const auto rank = [](const CandidateResult& c) {
    const int order = c.verdict == Verdict::feasible ? 0 : c.verdict == Verdict::undecided ? 1 : 2;
    return std::pair(order, c.to_earth_ohm.greatest);
  };
  const auto best = std::min_element(candidates.begin(), candidates.end(),
                                     [&](const auto& a, const auto& b) { return rank(a) < rank(b); });
  return static_cast<std::size_t>(best - candidates.begin());
}

}  // namespace

SoilPicture soil_picture(const Site& site, sounding::StakeDepthRule depth_rule) {
  return detail::picture_of(site, depth_rule);
}

StudyResult assess(Site site) {
  if (site.loads.empty()) throw DomainError("site.loads", "empty", "at least one load");
  if (!site.soil && !site.measured) {
    throw DomainError("site.soil", "missing", "given, or an electrode that was measured");
  }
  StudyResult result;
  result.site = std::move(site);
  const Site& given = result.site;

  if (given.soil) result.soil = soil_picture(given);
  result.requirements = supply::requirements({given.supply, given.loads, given.limit_v});
  result.requirement_span = supply::span_of(result.requirements);
  const GoverningLoad governing_load = study::governing_load(given, result.requirements);
  result.state_description = governing_load.description;
  result.state_without_electrode = state_with(given, governing_load.circuit, std::nullopt);

  if (given.measured) result.candidates.push_back(measured_resistance(given, *given.measured));
  if (given.soil) {
    for (const Candidate& candidate : given.candidates) {
      result.candidates.push_back(candidate_resistance(given, result.soil, candidate));
    }
  }
  const detail::Limits limits = detail::limits_of(result.requirement_span);
  const detail::Caps caps = detail::caps_of(given, result.soil, result.requirements);
  for (CandidateResult& candidate : result.candidates) {
    detail::judge(given, limits, caps, candidate);
    const double own_ohm = candidate.to_earth_ohm.value / candidate.least_conductance_share_ratio;
    candidate.state_at_value = state_with(given, governing_load.circuit, own_ohm);
    candidate.greatest_current_a =
        own_current_a(state_with(given, governing_load.circuit, alone_ohm(given, candidate).least));
  }
  detail::compare_breaks(result);
  result.governing_candidate = governing_candidate(result.candidates);
  if (given.soil) result.floor = detail::floor_on_land(given, result.soil, limits.most_lenient_ohm);

  detail::conclude(limits, caps, result);
  detail::judge_tt(result);
  result.separation = detail::separation_of(result);
  result.routes.bridging =
      routes::check_bridging(given.routes.bridging, result.separation ? result.separation->reach
                                                                      : std::vector<routes::ReachFinding>{});
  result.routes.probe = detail::probe_reading_of(result);
  const routes::MethodFacts facts = detail::method_facts(result);
  detail::add_route_record(facts, result);
  result.blind_region = detail::blind_region_of(result, facts.blind_case);
  detail::add_curves(result);
  result.cautions = cautions();
  return result;
}

std::string verdict_name(Verdict verdict) {
  switch (verdict) {
  case Verdict::feasible:
    return "feasible";
  case Verdict::not_feasible:
    return "not feasible";
  case Verdict::undecided:
    return "cannot be decided";
  }
  throw InternalError("a verdict without a name");
}

std::string evidence_name(Evidence evidence) {
  switch (evidence) {
  case Evidence::none:
    return "none";
  case Evidence::soil_word:
    return "a word for the soil";
  case Evidence::one_rod:
    return "one rod's reading";
  case Evidence::other_rod:
    return "one rod of another kind";
  case Evidence::few_readings:
    return "fewer than three readings";
  case Evidence::short_sounding:
    return "a sounding too short for this electrode";
  case Evidence::full_sounding:
    return "a full sounding";
  case Evidence::stated_layers:
    return "layers as stated";
  case Evidence::measured_electrode:
    return "the electrode itself, measured";
  }
  throw InternalError("an evidence class without a name");
}

int exit_code(Verdict verdict) {
  switch (verdict) {
  case Verdict::feasible:
    return 0;
  case Verdict::not_feasible:
    return 1;
  case Verdict::undecided:
    return 2;
  }
  throw InternalError("a verdict without an exit code");
}

}  // namespace ohmroot::study
