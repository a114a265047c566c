// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/detail/curves.hpp>
#include <ohmroot/study/detail/rods.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/detail/verdict.hpp>
#include <ohmroot/study/governing_load.hpp>
#include <ohmroot/study/land.hpp>
#include <ohmroot/study/rules.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

/// Standard normal distances of the 95 % and 99 % ends, to widen one into the other in log space.
constexpr double normal_95 = 1.6448536269514722;
constexpr double normal_99 = 2.3263478740408408;

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

double with_relied_on_paths_ohm(double electrode_ohm, const Site& site) {
  double conductance = 1.0 / electrode_ohm;
  for (const OtherEarthPath& path : site.other_paths) {
    if (path.is_relied_on) conductance += 1.0 / path.resistance_ohm;
  }
  return 1.0 / conductance;
}

/// From the electrode as measured to what the MET sees in the worst season.
void add_season_and_paths(const Site& site, CandidateResult& result) {
  const FactorInterval season = site.season.value_or(FactorInterval{1.0, 1.0, "no season factor given"});
  const auto total_ohm = [&](double electrode_ohm, double factor_ratio) {
    if (std::isinf(electrode_ohm)) return electrode_ohm;
    return with_relied_on_paths_ohm(electrode_ohm * factor_ratio + site.earthing_conductor_ohm, site);
  };
  const Estimate& electrode = result.electrode_ohm;
  result.to_earth_ohm = {
      total_ohm(electrode.value, std::sqrt(season.least_ratio * season.greatest_ratio)),
      total_ohm(electrode.least, season.least_ratio), total_ohm(electrode.greatest, season.greatest_ratio),
      fmt::format("electrode times season factor {} to {} ({}), plus earthing conductor {}{}",
                  format_given(season.least_ratio, Dimension::ratio),
                  format_given(season.greatest_ratio, Dimension::ratio), season.basis,
                  ohms(site.earthing_conductor_ohm),
                  std::any_of(site.other_paths.begin(), site.other_paths.end(),
                              [](const auto& path) { return path.is_relied_on; })
                      ? ", in parallel with the paths relied on"
                      : "")};
  const double own_ohm =
      electrode.value * std::sqrt(season.least_ratio * season.greatest_ratio) + site.earthing_conductor_ohm;
  result.least_conductance_share_ratio = result.to_earth_ohm.value / own_ohm;
}

CandidateResult measured_result(const Site& site, const MeasuredElectrode& measured) {
  CandidateResult result;
  result.name = measured.name;
  result.description =
      fmt::format("measured {} by {} on {}{}", ohms(measured.resistance_ohm), measured.method, measured.date,
                  measured.was_pme_disconnected ? ", PME disconnected" : ", PME still connected");
  result.evidence = Evidence::measured_electrode;
  const double spread_ratio = std::exp(normal_95 * measured.relative_error_ratio);
  result.electrode_ohm = {measured.resistance_ohm, measured.resistance_ohm / spread_ratio,
                          measured.resistance_ohm * spread_ratio,
                          fmt::format("measured, {} % standard deviation",
                                      format_number(100 * measured.relative_error_ratio, 2))};
  add_season_and_paths(site, result);
  return result;
}

/// Open-PEN state at the load that governs, with or without the electrode.
supply::OpenPenState state_with(const Site& site, supply::OpenPenCircuit circuit,
                                std::optional<double> electrode_ohm) {
  if (electrode_ohm && std::isfinite(*electrode_ohm)) circuit.earth_path_ohm.push_back(*electrode_ohm);
  for (const OtherEarthPath& path : site.other_paths) {
    if (path.is_relied_on) circuit.earth_path_ohm.push_back(path.resistance_ohm);
  }
  return supply::open_pen_state(circuit);
}

/// No electrode inside land and depth can beat this; taken at the 1 % end of the soil, so that at least 99 %
/// of the soils that the data allow lie above it.
std::optional<FloorResult> floor_on_land(const Site& site, const SoilPicture& soil, double most_lenient_ohm) {
  if (!site.land || soil.evidence == Evidence::none || soil.least_resistivity_ohm_m <= 0) return std::nullopt;
  const double factor_per_m = electrode::ellipsoid_floor_bound_per_m(enclosing_volume(*site.land));
  const double season_ratio = site.season ? site.season->least_ratio : 1.0;
  const double centre_ohm_m = detail::central_least_resistivity_ohm_m(soil);
  const double one_percent_ohm_m =
      centre_ohm_m * std::pow(soil.least_resistivity_ohm_m / centre_ohm_m, normal_99 / normal_95);
  FloorResult floor;
  floor.floor_ohm = {
      factor_per_m * centre_ohm_m * season_ratio, factor_per_m * one_percent_ohm_m * season_ratio,
      factor_per_m * centre_ohm_m * season_ratio,
      "half-ellipsoid enclosing land and depth, wholly of the least resistive layer's soil; lower end at "
      "the 1 % end of that layer's resistivity (the 5 % end widened in log space)"};
  const bool may_prove = soil.is_least_resolved && detail::may_rule_out(soil.evidence);
  floor.proves_infeasible = may_prove && floor.floor_ohm.least > most_lenient_ohm;
  floor.why =
      floor.proves_infeasible
          ? fmt::format("No new electrode inside this land and depth can be below {}, and even the most "
                        "lenient limit is {}.",
                        ohms(floor.floor_ohm.least), ohms(most_lenient_ohm))
          : fmt::format("The floor ({}) does not rule out every electrode on this land; larger ones than the "
                        "candidates may do better.",
                        ohms(floor.floor_ohm.least));
  floor.why += " It concerns new metal in that volume, not metal already in the ground.";
  return floor;
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

/// What one rod's reading proves of a group of rods like it, whatever the layers: conductances of separate
/// electrodes add at most, and more metal never raises the resistance. Nothing if the rods are not like it.
std::optional<CandidateResult> bracket_by_one_rod(const Site& site, const SoilFromRod& measured,
                                                  const Candidate& candidate) {
  const auto rods = detail::rods_of(candidate.shape);
  if (!rods || rods->rod.length_m != measured.rod.length_m ||
      rods->rod.diameter_m != measured.rod.diameter_m) {
    return std::nullopt;
  }
  CandidateResult result;
  result.name = candidate.name;
  result.description = electrode::describe(candidate.shape);
  result.formulas = electrode::all_formulas(candidate.shape);
  result.evidence = Evidence::one_rod;
  const double spread_ratio = std::exp(normal_95 * measured.relative_error_ratio);
  const double least_ohm = measured.resistance_ohm / spread_ratio / rods->rod_count;
  const double greatest_ohm = measured.resistance_ohm * spread_ratio;
  const double by_formula_ohm = measured.resistance_ohm /
                                electrode::default_formula(measured.rod).geometry_factor_per_m *
                                result.formulas.front().geometry_factor_per_m;
  result.electrode_ohm = {
      std::clamp(by_formula_ohm, least_ohm, greatest_ohm), least_ohm, greatest_ohm,
      "one rod's reading: at least R1 / n (conductances of separate electrodes add at most, if each rod "
      "reads like the measured one), at most R1 (if the measured rod is one of them)"};
  add_season_and_paths(site, result);
  return result;
}

}  // namespace

CandidateResult candidate_resistance(const Site& site, const SoilPicture& soil, const Candidate& candidate) {
  if (site.soil && std::holds_alternative<SoilFromRod>(*site.soil)) {
    if (auto bracket = bracket_by_one_rod(site, std::get<SoilFromRod>(*site.soil), candidate))
      return *bracket;
  }
  CandidateResult result;
  result.name = candidate.name;
  result.description = electrode::describe(candidate.shape);
  result.formulas = electrode::all_formulas(candidate.shape);
  result.evidence = detail::evidence_for(soil, candidate.shape);
  const electrode::FormulaResult& formula = result.formulas.front();
  result.is_greatest_resolved = soil.is_greatest_resolved;
  const double least_ohm =
      formula.geometry_factor_per_m * formula.formula->least_truth_ratio * soil.least_resistivity_ohm_m;
  const double greatest_ohm = soil.is_greatest_resolved
                                  ? formula.geometry_factor_per_m * formula.formula->greatest_truth_ratio *
                                        soil.greatest_resistivity_ohm_m
                                  : unlimited;
  const double middle_ohm_m = std::sqrt(detail::central_least_resistivity_ohm_m(soil) *
                                        detail::central_greatest_resistivity_ohm_m(soil));
  std::string basis = fmt::format("{} ({})", formula.formula->title, formula.formula->source);
  basis += soil.least_resistivity_ohm_m == soil.greatest_resistivity_ohm_m
               ? ", uniform soil as stated"
               : ", bracketed between the shape wholly in the least and wholly in the most resistive soil "
                 "that the "
                 "data allow; the value is the middle of the bracket, no estimate for layered soil";
  if (!formula.is_inside_valid_box) basis += "; OUTSIDE the formula's range: " + formula.outside_reason;
  result.electrode_ohm = {
      std::clamp(formula.geometry_factor_per_m * middle_ohm_m, least_ohm,
                 std::isinf(greatest_ohm) ? std::numeric_limits<double>::max() : greatest_ohm),
      least_ohm, greatest_ohm, std::move(basis)};
  add_season_and_paths(site, result);
  return result;
}

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

  if (given.measured) result.candidates.push_back(measured_result(given, *given.measured));
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
  }
  result.governing_candidate = governing_candidate(result.candidates);
  if (given.soil) result.floor = floor_on_land(given, result.soil, limits.most_lenient_ohm);

  detail::conclude(limits, caps, result);
  if (result.governing_candidate) {
    const CandidateResult& governing = result.candidates[*result.governing_candidate];
    if (std::isfinite(governing.to_earth_ohm.greatest)) {
      Estimate alone = governing.to_earth_ohm;  // on TT no other path to earth is there
      const FactorInterval season = given.season.value_or(FactorInterval{});
      alone.least = governing.electrode_ohm.least * season.least_ratio + given.earthing_conductor_ohm;
      alone.greatest =
          governing.electrode_ohm.greatest * season.greatest_ratio + given.earthing_conductor_ohm;
      alone.value =
          std::clamp(governing.electrode_ohm.value * std::sqrt(season.least_ratio * season.greatest_ratio) +
                         given.earthing_conductor_ohm,
                     alone.least, alone.greatest);
      alone.basis = "electrode of the governing candidate, worst season, earthing conductor included";
      result.tt = routes::check_tt(alone, given.tt_limit_v);
    }
  }
  result.methods = routes::method_records(detail::method_facts(result));
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
