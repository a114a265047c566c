// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/places.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/detail/street.hpp>
#include <ohmroot/study/detail/verdict.hpp>
#include <ohmroot/study/rules.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/supply/blind_case.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study::detail {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

/// Above it an electrode may be unstable, and the annex of the rules caps a larger computed limit at it
/// (BS 7671 Annex A722, note; quoted second-hand).
constexpr double stability_cap_ohm = 200.0;

/// Readings that were skipped may be the ones that matter: above this share nothing is decided.
constexpr double tolerated_skipped_ratio = 0.01;

std::string ohms(double value_ohm) {
  return std::isinf(value_ohm) ? "no upper end" : format_quantity(value_ohm, Dimension::resistance);
}

double limit_value_ohm(const supply::Requirement& requirement) {
  switch (requirement.outcome) {
  case supply::RequirementOutcome::none_needed:
    return unlimited;
  case supply::RequirementOutcome::none_suffices:
    return 0.0;
  case supply::RequirementOutcome::limited:
  case supply::RequirementOutcome::not_covered:
    break;
  }
  return requirement.resistance_ohm;
}

void cap_by_break(const Site& site, Caps& caps) {
  if (site.street) return;  // then the street is judged by itself, beside the own service
  switch (site.break_position) {
  case BreakPosition::own_service:
    return;
  case BreakPosition::unstated:
    caps.on_feasible.push_back(
        {"the position of the break is not stated, and a break further up the street adds other "
         "people's current",
         "Ask the distributor how the service is fed; then state the break and its reason in [break], or "
         "what "
         "else hangs on the PEN in [street]."});
    return;
  case BreakPosition::shared_service:
  case BreakPosition::distribution_main:
    caps.on_any.push_back(
        {fmt::format("the verdict is asked for a break in the {}, where other customers' current "
                     "flows too; their loads are not known here",
                     break_position_word(site.break_position)),
         "Ask the distributor for the number of customers beyond the break and their loads, and state them "
         "in "
         "[street]."});
    return;
  }
}

void cap_by_load(const std::vector<supply::Requirement>& requirements, Caps& caps) {
  if (supply::span_of(requirements).has_uncovered) {
    caps.on_feasible.push_back(
        {"one of the load models could not be computed", "See the table of requirements."});
  }
}

void cap_by_skipped_rows(const Site& site, Caps& caps) {
  if (!site.soil) return;
  const auto* readings = std::get_if<SoilFromReadings>(&*site.soil);
  if (readings == nullptr) return;
  std::size_t skipped = 0;
  int rows = 0;
  for (const auto& sheet : readings->sheet) {
    skipped += sheet.skipped.size();
    rows += sheet.data_row_count;
  }
  if (rows > 0 && static_cast<double>(skipped) > tolerated_skipped_ratio * rows) {
    caps.on_any.push_back(
        {fmt::format("{} of {} rows of the field sheet gave no reading", skipped, rows),
         "Repeat the missing readings, or strike the rows from the sheet with the reason in a comment."});
  }
}

/// A reading that its neighbours do not allow is worth no more than one that is missing.
void cap_by_doubts(const SoilPicture& soil, Caps& caps) {
  if (soil.doubts.empty()) return;
  caps.on_any.push_back(
      {fmt::format("{} of {} readings {} doubtful ({})", soil.doubts.size(), soil.readings.size(),
                   soil.doubts.size() == 1 ? "is" : "are", soil.doubts.front().sentence),
       "Repeat the doubtful readings; if they stand, the ground changes sideways and needs a second line of "
       "stakes."});
}

/// What stands between the computed numbers and 'feasible' for this one candidate.
std::vector<Cap> caps_of_candidate(const CandidateResult& candidate) {
  std::vector<Cap> caps;
  if (!may_accept(candidate.evidence)) {
    caps.push_back(
        {fmt::format("the soil is known only by {}", evidence_name(candidate.evidence)),
         candidate.evidence == Evidence::short_sounding
             ? "Take readings at wider spacings: at least the electrode's extent, and its depth / 0.52."
             : "Take four-pole readings out to the electrode's extent and to its depth / 0.52."});
  }
  if (!candidate.formulas.empty() && !candidate.formulas.front().is_inside_valid_box) {
    caps.push_back({"the formula is used outside its published range (" +
                        candidate.formulas.front().outside_reason + ")",
                    "Choose dimensions inside the formula's range."});
  }
  return caps;
}

std::string join_reasons(const std::vector<Cap>& caps) {
  std::string text;
  for (std::size_t i = 0; i < caps.size(); ++i) {
    if (i > 0) text += "; ";
    text += caps[i].reason;
  }
  return text;
}

std::string interval_text(const Estimate& estimate) {
  return fmt::format("{} ({} to {})", ohms(estimate.value), ohms(estimate.least), ohms(estimate.greatest));
}

std::string limit_text(double limit_ohm) {
  return std::isinf(limit_ohm) ? "no electrode needed" : ohms(limit_ohm);
}

std::string requirement_name(const supply::Requirement* requirement) {
  return requirement == nullptr ? std::string("no load model could be computed") : requirement->name;
}

/// What the governing electrode would be with the path in parallel, were it there.
std::string in_parallel_text(const StudyResult& result, const OtherEarthPath& path) {
  if (!result.governing_candidate) return ".";
  const double alone_ohm = result.candidates[*result.governing_candidate].to_earth_ohm.value;
  return fmt::format("; with it in parallel the governing electrode's {} would be {}.", ohms(alone_ohm),
                     ohms(1.0 / (1.0 / alone_ohm + 1.0 / path.resistance_ohm)));
}

void add_conditions(StudyResult& result) {
  const Site& site = result.site;
  result.holds_for.push_back("Break of the PEN: " + break_words(result));
  result.holds_for.push_back(
      fmt::format("Load models: strictest {}, most lenient {}, over {} to {} at the source.",
                  requirement_name(result.requirement_span.strictest),
                  requirement_name(result.requirement_span.most_lenient),
                  format_given(site.supply.lowest_v, Dimension::voltage),
                  format_given(site.supply.highest_v, Dimension::voltage)));
  if (site.supply.phase_count == 3) {
    result.holds_for.emplace_back(
        "Three phases: the worst case of all loads anywhere within their stated intervals, by search over "
        "corners and "
        "inside; a load whose least current is not stated may be off while the others run.");
  }
  result.holds_for.push_back(fmt::format("Limit: {} from MET to true earth ({}).",
                                         format_given(site.limit_v, Dimension::voltage), site.limit_basis));
  result.holds_for.push_back(rules_held({site.jurisdiction, site.edition}).statement);

  result.assumptions.emplace_back(
      site.street
          ? "The break is complete; beyond a break up the street hang the loads and ways to earth stated "
            "in [street] and no others (" +
                site.street->basis + ")."
          : "The break is complete, in the customer's own service; a break upstream adds other people's "
            "current, which is not counted here.");
  result.assumptions.emplace_back(
      "Earth of the supply's star point: " + ohms(site.supply.source_earth_ohm) +
      " (0 is on the safe side for the MET with constant impedance and constant current; with "
      "constant power a source earth above 0 raises the MET a little more).");
  if (site.supply.phase_count == 3)
    result.assumptions.emplace_back("Currents of the supply's own frequency: harmonics of the third order, "
                                    "as electronic loads draw them, add in the "
                                    "neutral of balanced phases and raise the MET by what is not counted "
                                    "here (common practice, from memory).");
  result.assumptions.push_back(
      site.season
          ? fmt::format("Season: measured in {}; worst season {} to {} times that ({}).",
                        site.month_of_measurement, format_given(site.season->least_ratio, Dimension::ratio),
                        format_given(site.season->greatest_ratio, Dimension::ratio), site.season->basis)
          : "Season: no factor given; the resistance is that of the month of measurement.");
  for (const OtherEarthPath& path : site.other_paths) {
    result.assumptions.push_back(
        path.is_relied_on
            ? fmt::format("Other path to earth relied on: {} at {} ({}).", path.name,
                          ohms(path.resistance_ohm), path.basis)
            : fmt::format("Other path to earth not to be relied on, left out of the verdict: {} at {}{}",
                          path.name, ohms(path.resistance_ohm), in_parallel_text(result, path)));
  }
  for (const supply::Load& load : site.loads) {
    if (load.least_current_a > 0) {
      result.assumptions.push_back(fmt::format(
          "Minimum load counted: {} at least {} on phase {} ({}).", load.name,
          format_given(load.least_current_a, Dimension::current), load.phase, load.minimum_basis));
    }
    if (load.stated_model) {
      result.assumptions.push_back(fmt::format("{} is taken as {} ({}).", load.name,
                                               supply::load_model_name(*load.stated_model),
                                               load.model_basis));
    }
  }

  result.voided_by = {
      "Any load added, moved to another phase or changed in kind; a charge point set to a higher current; "
      "load "
      "management removed or found not to fail safe.",
      "The minimum load on which the answer rests no longer drawn (a machine removed, a shift dropped).",
      "Generation or storage added on the installation: exported current is not counted here.",
      "A change of the supply: number of phases, looped service, new neighbours on the service, another "
      "earthing arrangement.",
      "Removal of, or damage to, the electrode, its conductor or another earth path that was relied on; "
      "ground excavated, "
      "drained, paved over or made up near it.",
      "A season drier or colder than the factor allows for.",
      "Another edition of the rules, or another limit, applying to the installation.",
      "An as-built test above the resistance on which the verdict rests: only that test settles it.",
  };
}

void add_next_steps(const Caps& caps, StudyResult& result) {
  for (const Cap& cap : caps.on_any)
    result.next_steps.push_back(cap.next_step);
  if (result.verdict == Verdict::feasible) {
    result.next_steps.emplace_back("Have the design checked, obtain the distributor's agreement, and find "
                                   "buried services before driving.");
    result.next_steps.emplace_back("Test the electrode as built, joined to nothing else; compare with the "
                                   "number this verdict rests on.");
    return;
  }
  if (result.verdict == Verdict::not_feasible) {
    result.next_steps.emplace_back(
        "Look at the other permitted routes below; TT is one of them, not the automatic one.");
    result.next_steps.emplace_back(
        "A lower demand (charge-point setting with load management that fails safe) or a three-phase "
        "supply changes the requirement: run the study again with it.");
    return;
  }
  if (result.governing_candidate) {
    for (const Cap& cap : caps_of_candidate(result.candidates[*result.governing_candidate])) {
      result.next_steps.push_back(cap.next_step);
    }
  }
  for (const Cap& cap : caps.on_feasible)
    result.next_steps.push_back(cap.next_step);
  if (result.next_steps.empty()) {
    result.next_steps.emplace_back(
        "The interval straddles the limits. Cheapest next: drive the first rod of the candidate where it "
        "would stand and measure it, joined to nothing; then readings at closer spacings.");
  }
}

std::string undecided_headline(const Limits& limits, const Caps& caps, const StudyResult& result) {
  if (!caps.on_any.empty()) return "Cannot be decided: " + join_reasons(caps.on_any) + ".";
  if (!result.governing_candidate) return "Cannot be decided: no electrode was proposed.";
  const CandidateResult& governing = result.candidates[*result.governing_candidate];
  if (governing.to_earth_ohm.greatest < limits.strictest_ohm) {
    std::vector<Cap> reasons = caps_of_candidate(governing);
    reasons.insert(reasons.end(), caps.on_feasible.begin(), caps.on_feasible.end());
    return "Cannot be decided yet, although the numbers look well: " + join_reasons(reasons) + ".";
  }
  return "Cannot be decided yet: what is known of the soil and the load leaves room for both answers.";
}

}  // namespace

Limits limits_of(const supply::RequirementSpan& span) {
  Limits limits;
  limits.most_lenient_ohm = span.most_lenient == nullptr ? unlimited : limit_value_ohm(*span.most_lenient);
  // An uncovered model may be stricter or milder than any computed one.
  if (span.has_uncovered) limits.most_lenient_ohm = unlimited;
  const double strictest_ohm = span.strictest == nullptr ? 0.0 : limit_value_ohm(*span.strictest);
  limits.needs_none = std::isinf(strictest_ohm) && !span.has_uncovered;
  limits.strictest_ohm = std::min(strictest_ohm, stability_cap_ohm);
  return limits;
}

namespace {

/// A kind of place that speaks against an electrode at the MET keeps it from being called feasible.
void cap_by_place(const Site& site, Caps& caps) {
  for (const routes::PlaceRule& rule : routes::place_rules()) {
    const bool is_here = site.routes.places.at(static_cast<std::size_t>(rule.place)) == routes::Answer::yes;
    if (!is_here || (rule.is_lifted_by_low_limit && site.limit_v <= routes::low_limit_v)) continue;
    const bool is_about_electrode =
        std::any_of(rule.effects.begin(), rule.effects.end(), [](const routes::PlaceEffect& effect) {
          return effect.method == routes::Method::supplementary_electrode;
        });
    if (is_about_electrode)
      caps.on_feasible.push_back({std::string(rule.sentence),
                                  "Settle with the distributor and the licensed text what "
                                  "this kind of place allows."});
  }
}

}  // namespace

Caps caps_of(const Site& site, const SoilPicture& soil,
             const std::vector<supply::Requirement>& requirements) {
  Caps caps;
  cap_by_break(site, caps);
  cap_by_load(requirements, caps);
  cap_by_skipped_rows(site, caps);
  cap_by_doubts(soil, caps);
  cap_by_place(site, caps);
  if (!site.season) {
    caps.on_feasible.push_back({"no seasonal factor is given, and soil dries",
                                "State the month of measurement and a seasonal factor with its basis, or "
                                "measure in the driest month."});
  }
  if (!rules_held({site.jurisdiction, site.edition}).is_held) {
    caps.on_feasible.push_back(
        {"the clauses of the rules asked for are not held here",
         "Check in the licensed text whether the method is permitted and at which voltage."});
  }
  if (site.measured && !site.measured->was_pme_disconnected) {
    caps.on_any.push_back(
        {"the electrode was measured with PME still connected, so the reading is that of the supply network",
         "Measure the electrode again, isolated and joined to nothing, by the safe procedure."});
  }
  return caps;
}

void judge(const Site& site, const Limits& limits, const Caps& caps, CandidateResult& candidate) {
  const Estimate& to_earth = candidate.to_earth_ohm;
  const std::string numbers = fmt::format(
      "{} in the worst season against {} (strictest) and {} (most lenient)", interval_text(to_earth),
      limit_text(limits.strictest_ohm), limit_text(limits.most_lenient_ohm));
  (void)site;
  if (!caps.on_any.empty()) {
    candidate.why = numbers + "; not decided: " + join_reasons(caps.on_any);
    return;
  }
  if (to_earth.least > limits.most_lenient_ohm) {
    if (may_rule_out(candidate.evidence) || candidate.evidence == Evidence::one_rod) {
      candidate.verdict = Verdict::not_feasible;
      candidate.why = numbers + ": its lower end is above the most lenient limit";
    } else {
      candidate.why =
          numbers + fmt::format("; not decided: {} rules nothing out", evidence_name(candidate.evidence));
    }
    return;
  }
  if (!(to_earth.greatest < limits.strictest_ohm)) {
    candidate.why = numbers + ": the interval reaches across a limit";
    return;
  }
  std::vector<Cap> reasons = caps_of_candidate(candidate);
  if (candidate.evidence == Evidence::one_rod)
    reasons.clear();  // the bracket of one rod is already a proof for itself
  reasons.insert(reasons.end(), caps.on_feasible.begin(), caps.on_feasible.end());
  if (!reasons.empty()) {
    candidate.why = numbers + "; not decided: " + join_reasons(reasons);
    return;
  }
  candidate.verdict = Verdict::feasible;
  candidate.why = numbers + ": its upper end is below the strictest limit";
}

void conclude(const Limits& limits, const Caps& caps, StudyResult& result) {
  const auto has = [&](Verdict verdict) {
    return std::any_of(result.candidates.begin(), result.candidates.end(),
                       [&](const CandidateResult& c) { return c.verdict == verdict; });
  };
  if (has(Verdict::feasible)) {
    result.verdict = Verdict::feasible;
  } else if (!result.candidates.empty() && !has(Verdict::undecided)) {
    result.verdict = Verdict::not_feasible;
  } else {
    result.verdict = Verdict::undecided;
  }

  const CandidateResult* governing =
      result.governing_candidate ? &result.candidates[*result.governing_candidate] : nullptr;
  const std::string limit_volts = format_given(result.site.limit_v, Dimension::voltage);
  switch (result.verdict) {
  case Verdict::feasible:
    result.headline = fmt::format(
        "The electrode '{}' keeps the installation's metalwork within {} of true earth if the PEN "
        "breaks {}.",
        governing->name, limit_volts, held_break_words(result));
    break;
  case Verdict::not_feasible:
    result.headline =
        fmt::format("{} keep the installation's metalwork within {} of true earth if the PEN breaks.",
                    result.candidates.size() == 1 ? "The electrode proposed cannot"
                                                  : "None of the electrodes proposed can",
                    limit_volts);
    if (result.floor && result.floor->proves_infeasible) {
      result.headline += " Nor can any other new electrode inside this land and depth.";
    }
    break;
  case Verdict::undecided:
    result.headline = undecided_headline(limits, caps, result);
    break;
  }
  result.headline += side_by_side_words(result);
  if (governing != nullptr) {
    const double judged_by_ohm =
        result.verdict == Verdict::not_feasible ? limits.most_lenient_ohm : limits.strictest_ohm;
    result.rests_on = fmt::format(
        "'{}': {} to earth in the worst season; {} limit {} ({})", governing->name,
        interval_text(governing->to_earth_ohm),
        result.verdict == Verdict::not_feasible ? "most lenient" : "strictest", limit_text(judged_by_ohm),
        requirement_name(result.verdict == Verdict::not_feasible ? result.requirement_span.most_lenient
                                                                 : result.requirement_span.strictest));
    if (result.verdict != Verdict::undecided && std::isfinite(judged_by_ohm)) {
      const double end_ohm = result.verdict == Verdict::feasible ? governing->to_earth_ohm.greatest
                                                                 : governing->to_earth_ohm.least;
      result.rests_on +=
          fmt::format("; margin {} ({} % of the limit)", ohms(std::abs(judged_by_ohm - end_ohm)),
                      format_number(100 * std::abs(judged_by_ohm - end_ohm) / judged_by_ohm, 2));
    }
    if (limits.needs_none) {
      result.rests_on += "; for this load no electrode is needed, which is not by itself a permitted route";
    }
    result.rests_on += ".";
  }
  if (const std::string street = street_rest_words(result); !street.empty()) result.rests_on = street;
  add_conditions(result);
  add_next_steps(caps, result);
}

namespace {

void add_separation(const SeparationResult& separation, routes::MethodFacts& facts) {
  if (separation.transfer) facts.tt_separation_m = separation.transfer->nearest_m;
  if (separation.electrode_share_ratio)
    facts.tt_transferred_v =
        scaled(*separation.electrode_share_ratio, separation.metal_v, separation.metal_v_basis);
  for (const routes::ReachFinding& finding : separation.reach)
    if (finding.is_within) facts.within_reach.push_back(finding.name);
}

}  // namespace

routes::MethodFacts method_facts(const StudyResult& result) {
  const Site& site = result.site;
  routes::MethodFacts facts;
  facts.phase_count = site.supply.phase_count;
  facts.edition = site.edition;
  facts.limit_v = site.limit_v;
  facts.requirements = result.requirements;
  facts.electrode.support = result.verdict == Verdict::feasible       ? routes::Support::supports
                            : result.verdict == Verdict::not_feasible ? routes::Support::contradicts
                                                                      : routes::Support::does_not_tell;
  facts.electrode.finding = result.rests_on;
  if (!result.next_steps.empty()) facts.electrode.next_step = result.next_steps.front();
  facts.blind_case = supply::blind_case({site.supply, site.loads, site.limit_v});
  facts.is_blind_case_sought = true;
  if (const auto& state = result.state_without_electrode;
      state && state->status == supply::OpenPenStatus::solved)
    facts.met_without_electrode_v = std::abs(state->met_v);
  facts.tt_limit_v = site.tt_limit_v;
  if (result.routes.probe) facts.probe = result.routes.probe->judgement;
  facts.bridged = result.routes.bridging.bridged;
  facts.unchecked_bridge_count = result.routes.bridging.not_checked.size();
  facts.is_reach_checked = site.separation.parking.has_value();
  for (const supply::Load& load : site.loads) {
    if (load.charge_point == supply::ChargePoint::none) continue;
    ++facts.charge_point_count;
    const double rated_a =
        std::isfinite(load.current_ceiling_a) ? load.current_ceiling_a : load.greatest_current_a;
    facts.charge_point_va = std::max(facts.charge_point_va, rated_a * site.supply.nominal_v);
  }
  if (site.routes.transformer_a) facts.transformer_va = *site.routes.transformer_a * site.supply.nominal_v;
  if (result.separation) add_separation(*result.separation, facts);
  if (result.tt) {
    // Season and evidence cap this as they cap the electrode itself; a proof needs the whole interval.
    const routes::ResidualDeviceCheck& most_sensitive = result.tt->devices.front();
    facts.tt_resistance.support =
        most_sensitive.is_met ? routes::Support::supports : routes::Support::does_not_tell;
    facts.tt_resistance.finding =
        fmt::format("R_A up to {} in the worst season: R_A x I_dn = {} with a {} RCD, against {}",
                    ohms(result.tt->resistance_ohm.greatest),
                    format_quantity(most_sensitive.product_v, Dimension::voltage),
                    format_quantity(most_sensitive.rated_residual_current_a, Dimension::current, 2),
                    format_given(result.tt->limit_v, Dimension::voltage));
  }
  return facts;
}

}  // namespace ohmroot::study::detail
