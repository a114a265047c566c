// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/field_resistance.hpp>
#include <ohmroot/study/detail/rods.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/street.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();
std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

/// From the electrode as measured to what the MET sees in the worst season.
void add_season_and_paths(const Site& site, CandidateResult& result) {
  const FactorInterval season = site.season.value_or(FactorInterval{1.0, 1.0, "no season factor given"});
  const auto total_ohm = [&](double electrode_ohm, double factor_ratio) {
    if (std::isinf(electrode_ohm)) return electrode_ohm;
    return with_relied_on_paths_ohm(electrode_ohm * factor_ratio + site.earthing_conductor_ohm,
                                    site.other_paths);
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

bool is_like(const electrode::Rod& a, const electrode::Rod& b) {
  return a.length_m == b.length_m && a.diameter_m == b.diameter_m;
}

CandidateResult named(const Candidate& candidate) {
  CandidateResult result;
  result.name = candidate.name;
  result.description = electrode::describe(candidate.shape);
  result.formulas = electrode::all_formulas(candidate.shape);
  return result;
}

/// The field solution where it can be had; else why not.
void solve(const SoilPicture& soil, const Candidate& candidate, SoilCount soils, CandidateResult& result) {
  try {
    detail::FieldResistance solved =
        detail::field_resistance(candidate.shape, soil.allowed, soils.greatest_count);
    solved.field.comparison = detail::comparison_words(solved.field, result.formulas.front());
    if (soil.interpretation)
      solved.field.fitted = detail::fitted_resistances(candidate.shape, *soil.interpretation);
    result.electrode_ohm = std::move(solved.electrode_ohm);
    result.field = std::move(solved.field);
  } catch (const DomainError& refusal) {
    result.field_refusal = refusal.what();
  }
}

/// Wholly in the least and wholly in the most resistive soil: what a formula can still say.
void bracket_by_formula(const SoilPicture& soil, CandidateResult& result) {
  const electrode::FormulaResult& formula = result.formulas.front();
  const double factor_per_m = formula.geometry_factor_per_m;
  result.is_greatest_resolved = soil.is_greatest_resolved;
  const double least_ohm = factor_per_m * formula.formula->least_truth_ratio * soil.least_resistivity_ohm_m;
  const double greatest_ohm =
      soil.is_greatest_resolved
          ? factor_per_m * formula.formula->greatest_truth_ratio * soil.greatest_resistivity_ohm_m
          : unlimited;
  const double middle_ohm_m = std::sqrt(detail::central_least_resistivity_ohm_m(soil) *
                                        detail::central_greatest_resistivity_ohm_m(soil));
  std::string basis = fmt::format("{} ({}), wholly in the least and wholly in the most resistive soil that "
                                  "the data allow; the value is the "
                                  "middle, no estimate for layered soil. No field solution: {}",
                                  formula.formula->title, formula.formula->source, result.field_refusal);
  if (!formula.is_inside_valid_box) basis += "; OUTSIDE the formula's range: " + formula.outside_reason;
  result.electrode_ohm = {
      std::clamp(factor_per_m * middle_ohm_m, least_ohm,
                 std::isinf(greatest_ohm) ? std::numeric_limits<double>::max() : greatest_ohm),
      least_ohm, greatest_ohm, std::move(basis)};
}

/// What one rod's reading proves of a group of rods like it, whatever the layers: conductances of separate
/// electrodes add at most, and more metal never raises the resistance.
void bracket_by_one_rod(const SoilFromRod& measured, int rod_count, CandidateResult& result) {
  const double spread_ratio = central_end_ratio(measured.relative_error_ratio);
  const double least_ohm = measured.resistance_ohm / spread_ratio / rod_count;
  const double greatest_ohm = measured.resistance_ohm * spread_ratio;
  std::string basis = "one rod's reading: at least R1 / n (conductances of separate electrodes add at most, "
                      "if each rod reads "
                      "like the measured one), at most R1 (if the measured rod is one of them)";
  const double middle_ohm = result.field ? result.field->middle_ohm : std::sqrt(least_ohm * greatest_ohm);
  if (result.field) {
    basis +=
        fmt::format("; the value is the field solution in the uniform soil that gives the reading. Over two "
                    "layers that give it too (contrast 0.01 to 100): {} to {}",
                    ohms(result.electrode_ohm.least), ohms(result.electrode_ohm.greatest));
  } else {
    basis += "; the value is the middle. No field solution: " + result.field_refusal;
  }
  result.evidence = Evidence::one_rod;
  result.electrode_ohm = {std::clamp(middle_ohm, least_ohm, greatest_ohm), least_ohm, greatest_ohm,
                          std::move(basis)};
}

}  // namespace

CandidateResult candidate_resistance(const Site& site, const SoilPicture& soil, const Candidate& candidate,
                                     SoilCount soils) {
  if (soil.allowed.soils.empty()) throw DomainError("soil.allowed", "empty", "at least one soil");
  CandidateResult result = named(candidate);
  result.evidence = detail::evidence_for(soil, candidate.shape);
  solve(soil, candidate, soils, result);
  if (!result.field) bracket_by_formula(soil, result);
  const auto* measured = site.soil ? std::get_if<SoilFromRod>(&*site.soil) : nullptr;
  const auto rods = detail::rods_of(candidate.shape);
  if (measured != nullptr && rods && is_like(rods->rod, measured->rod))
    bracket_by_one_rod(*measured, rods->rod_count, result);
  add_season_and_paths(site, result);
  return result;
}

Estimate alone_ohm(const Site& site, const CandidateResult& candidate) {
  const FactorInterval season = site.season.value_or(FactorInterval{});
  const Estimate& electrode_ohm = candidate.electrode_ohm;
  Estimate alone = candidate.to_earth_ohm;
  alone.least = electrode_ohm.least * season.least_ratio + site.earthing_conductor_ohm;
  alone.greatest = electrode_ohm.greatest * season.greatest_ratio + site.earthing_conductor_ohm;
  alone.value = std::clamp(electrode_ohm.value * std::sqrt(season.least_ratio * season.greatest_ratio) +
                               site.earthing_conductor_ohm,
                           alone.least, alone.greatest);
  return alone;
}

CandidateResult measured_resistance(const Site& site, const MeasuredElectrode& measured) {
  CandidateResult result;
  result.name = measured.name;
  result.description =
      fmt::format("measured {} by {} on {}{}", ohms(measured.resistance_ohm), measured.method, measured.date,
                  measured.was_pme_disconnected ? ", PME disconnected" : ", PME still connected");
  result.evidence = Evidence::measured_electrode;
  const double spread_ratio = central_end_ratio(measured.relative_error_ratio);
  result.electrode_ohm = {measured.resistance_ohm, measured.resistance_ohm / spread_ratio,
                          measured.resistance_ohm * spread_ratio,
                          fmt::format("measured, {} % standard deviation",
                                      format_number(100 * measured.relative_error_ratio, 2))};
  add_season_and_paths(site, result);
  return result;
}

}  // namespace ohmroot::study
