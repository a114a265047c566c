// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/routes/separation.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/electrode_cost.hpp>
#include <ohmroot/study/detail/route_record.hpp>
#include <ohmroot/study/detail/separation.hpp>
#include <ohmroot/study/detail/tt.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::study::detail {
namespace {

using routes::Method;
using routes::Support;

constexpr std::size_t probe_soil_count = 25;

// --- The probe -------------------------------------------------------------------------------------------

/// Resistance of the probe over the soils that the data allow: 5, 50 and 95 % of draws, or the ends of a set.
std::optional<Estimate> probe_resistance(const AllowedSoils& allowed, const electrode::Rod& rod) {
  if (allowed.soils.empty()) return std::nullopt;
  const std::vector<electrode::Electrode> probe{{"probe", electrode::conductors_of(rod)}};
  std::vector<double> ohms;
  const std::size_t step = (allowed.soils.size() + probe_soil_count - 1) / probe_soil_count;
  for (std::size_t i = 0; i < allowed.soils.size(); i += step) {
    try {
      ohms.push_back(electrode::solve_field(allowed.soils[i], probe, {1e-2}).resistance_ohm(0, 0));
    } catch (const DomainError&) {
      continue;  // a soil too extreme for the field solution, as elsewhere in the study
    }
  }
  if (ohms.empty()) return std::nullopt;
  std::sort(ohms.begin(), ohms.end());
  const bool is_spread = allowed.are_draws;
  return Estimate{quantile(ohms, 0.5), quantile(ohms, is_spread ? 0.05 : 0.0),
                  quantile(ohms, is_spread ? 0.95 : 1.0),
                  fmt::format("field solution of the probe in {} soils", ohms.size())};
}

// --- The conductor ---------------------------------------------------------------------------------------

std::string square_millimetres(double area_m2) {
  return format_number(1e6 * area_m2, 3) + " mm2";
}

void judge_conductor(const StudyResult& result, RoutesResult& routes) {
  const auto& stated = result.site.routes.conductor;
  if (!stated) return;
  const double current_a =
      result.governing_candidate ? result.candidates[*result.governing_candidate].greatest_current_a : 0.0;
  routes.conductor =
      routes::check_earthing_conductor({current_a,
                                        stated->neutral_m2,
                                        {stated->is_sheathed, stated->is_mechanically_protected},
                                        stated->fault,
                                        stated->rated_current_a});
  const bool is_enough = stated->section_m2 >= routes.conductor->least_m2 * (1.0 - 1e-9);
  const auto& decisions = result.site.routes.decisions;
  const bool is_tt_accepted =
      std::any_of(decisions.begin(), decisions.end(), [](const RouteDecision& decision) {
        return decision.is_accepted && decision.method == Method::tt_island;
      });
  routes.conductor_sentence = fmt::format(
      "Conductor from the MET to the electrode: {} stated, {} needed, which is {}. {}. As stated it has {}, "
      "counted in "
      "the resistance to earth.{}",
      square_millimetres(stated->section_m2), square_millimetres(routes.conductor->least_m2),
      is_enough ? "met" : "NOT met", routes.conductor->sentence,
      format_given(result.site.earthing_conductor_ohm, Dimension::resistance),
      is_tt_accepted
          ? " On TT, which is accepted here, it is no neutral and no PME bond: burial and heat alone "
            "ask for a size (circuit; the sizes as above)."
          : "");
}

// --- Decisions -------------------------------------------------------------------------------------------

std::string conflict_of(const RouteRecord& route, const std::vector<RouteRecord>& all) {
  if (!route.decision) return "";
  if (!route.decision->is_accepted) return "";
  if (route.record.support == Support::contradicts) return "accepted, but the data contradict it";
  if (route.record.support == Support::does_not_tell)
    return "accepted, but the data do not tell: what would decide is said beside it";
  if (route.record.method != Method::tt_island) return "";
  // That the electrode cannot be had does not justify TT: the other methods have to be out of the question.
  std::vector<std::string_view> open;
  for (const RouteRecord& other : all) {
    const bool is_out =
        (other.decision && !other.decision->is_accepted) || other.record.support == Support::contradicts;
    if (other.record.method != Method::tt_island && !is_out)
      open.push_back(routes::method_word(other.record.method));
  }
  if (open.empty()) return "";
  return fmt::format("accepted, but these are neither contradicted nor rejected with a reason: {}",
                     fmt::join(open, ", "));
}

void conclude(RoutesResult& routes) {
  const auto accepted =
      std::find_if(routes.records.begin(), routes.records.end(),
                   [](const RouteRecord& route) { return route.decision && route.decision->is_accepted; });
  if (accepted != routes.records.end()) {
    const std::string word(routes::method_word(accepted->record.method));
    if (accepted->conflict.empty()) {
      routes.outcome = RouteOutcome::settled;
      routes.sentence =
          fmt::format("'{}' is accepted, and the data support it: {}", word, accepted->decision->reason);
    } else {
      routes.outcome =
          accepted->record.support == Support::contradicts ? RouteOutcome::against : RouteOutcome::open;
      routes.sentence = fmt::format("'{}': {}", word, accepted->conflict);
    }
    return;
  }
  const bool are_all_out =
      std::all_of(routes.records.begin(), routes.records.end(),
                  [](const RouteRecord& route) { return route.record.support == Support::contradicts; });
  routes.outcome = are_all_out ? RouteOutcome::against : RouteOutcome::open;
  routes.sentence =
      are_all_out ? "the data contradict every permitted method as it stands" : "no method is accepted yet";
}

void list_open(const RouteFacts& facts, RoutesResult& routes) {
  for (const routes::PlaceRule& rule : routes::place_rules()) {
    const routes::Answer answer = facts.places.at(static_cast<std::size_t>(rule.place));
    if (answer == routes::Answer::yes)
      routes.places.push_back(fmt::format("{} Yes: {} ({})", rule.question, rule.sentence, rule.provenance));
    else if (answer == routes::Answer::not_known)
      routes.open_places.emplace_back(rule.question);
  }
  for (std::size_t i = 0; i < routes::register_count; ++i) {
    const routes::RegisterEntry& entry = routes::clause_register().at(i);
    const std::string line = fmt::format("{}: {} ({})", entry.where, entry.topic, entry.known);
    if (facts.clauses.at(i) == routes::Answer::not_known) routes.open_clauses.push_back(line);
    if (facts.clauses.at(i) == routes::Answer::no) routes.denied_clauses.push_back(line);
  }
}

}  // namespace

std::optional<routes::ProbeReading> probe_reading_of(const StudyResult& result) {
  const auto& stated = result.site.routes.probe;
  if (!stated) return std::nullopt;
  routes::ProbeFacts facts;
  facts.limit_v = result.site.limit_v;
  facts.input_impedance_ohm = stated->input_impedance_ohm;
  facts.acts_at_v = stated->acts_at_v;
  facts.probe_ohm = probe_resistance(result.soil.allowed, stated->rod);
  if (!result.site.separation.pme_metal.empty() && !result.soil.allowed.soils.empty()) {
    try {
      const routes::Transfer transfer = probe_transfer(result, *stated);
      facts.metal_share_ratio = transfer.electrode_share_ratio;
      facts.nearest_metal_m = transfer.nearest_m;
      if (facts.metal_share_ratio) {
        facts.metal_share_ratio->least = std::clamp(facts.metal_share_ratio->least, 0.0, 1.0);
        facts.metal_share_ratio->greatest = std::clamp(facts.metal_share_ratio->greatest, 0.0, 1.0);
      }
    } catch (const DomainError& problem) {
      routes::ProbeReading refused;
      refused.judgement.finding = fmt::format("the probe could not be computed: {}", problem.what());
      refused.judgement.next_step = "check the place of the probe and the metal near it";
      return refused;
    }
  }
  return routes::probe_reading(facts);
}

void add_route_record(const routes::MethodFacts& facts, StudyResult& result) {
  result.methods = routes::method_records(facts);
  const RouteFacts& given = result.site.routes;
  routes::apply_places(given.places, {result.site.limit_v, result.site.tt_limit_v}, result.methods);
  RoutesResult& routes = result.routes;
  const auto electrode_cost = [&](Method method) {
    return given.prices ? electrode_cost_of(result, method == Method::tt_island ? tt_candidate(result)
                                                                                : result.governing_candidate)
                        : std::nullopt;
  };
  for (const routes::MethodRecord& record : result.methods) {
    RouteRecord route;
    route.record = record;
    route.protects = routes::what_it_protects(record.method);
    if (given.prices)
      route.cost = routes::cost_of(record.method, *given.prices, electrode_cost(record.method));
    else
      route.cost.sentence = "cost not known: no price list";
    const auto decision = std::find_if(given.decisions.begin(), given.decisions.end(),
                                       [&](const RouteDecision& d) { return d.method == record.method; });
    if (decision != given.decisions.end()) route.decision = *decision;
    routes.records.push_back(std::move(route));
  }
  for (RouteRecord& route : routes.records)
    route.conflict = conflict_of(route, routes.records);
  judge_conductor(result, routes);
  list_open(given, routes);
  conclude(routes);
}

}  // namespace ohmroot::study::detail
