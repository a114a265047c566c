// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/version.hpp>
#include <ohmroot/report/detail/heating_parts.hpp>
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/neighbourhood_parts.hpp>
#include <ohmroot/report/detail/route_parts.hpp>
#include <ohmroot/report/detail/separation_parts.hpp>
#include <ohmroot/report/detail/street_parts.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/site_file.hpp>

#include <cmath>

namespace ohmroot::report {
namespace {

using detail::documents;
using detail::numbers;
using detail::object;
using detail::set_missing;
using detail::set_number;
using detail::texts;
using text::Value;

constexpr int schema_version = 1;
constexpr const char* unresolved = "the data do not resolve this end";

std::string_view state_status_word(supply::OpenPenStatus status) {
  switch (status) {
  case supply::OpenPenStatus::solved:
    return "solved";
  case supply::OpenPenStatus::no_operating_point:
    return "no operating point";
  case supply::OpenPenStatus::not_covered:
    return "not covered";
  }
  throw InternalError("a state without a word");
}

std::string_view severity_word(Severity severity) {
  switch (severity) {
  case Severity::error:
    return "error";
  case Severity::warning:
    return "warning";
  case Severity::note:
    return "note";
  }
  throw InternalError("a severity without a word");
}

/// An estimate whose upper end the data may leave open.
Value open_ended_document(const Estimate& estimate, bool is_greatest_resolved, const char* unit_suffix) {
  Value document;
  set_number(document, {"value", unit_suffix}, estimate.value, "no value can be given");
  set_number(document, {"least", unit_suffix}, estimate.least, unresolved);
  if (is_greatest_resolved)
    set_number(document, {"greatest", unit_suffix}, estimate.greatest, unresolved);
  else
    set_missing(document, {"greatest", unit_suffix}, unresolved);
  document.set("basis", estimate.basis);
  return document;
}

/// Where an end is not resolved, the value may stand at the bound of the search and is left out too.
Value parameter_document(const sounding::ParameterInterval& parameter, const char* unit_suffix) {
  const auto set_end = [&](Value& document, const char* name, double value, bool is_resolved) {
    if (is_resolved)
      set_number(document, {name, unit_suffix}, value, unresolved);
    else
      set_missing(document, {name, unit_suffix}, unresolved);
  };
  Value document;
  set_end(document, "value", parameter.value, parameter.is_least_resolved && parameter.is_greatest_resolved);
  set_end(document, "least", parameter.least, parameter.is_least_resolved);
  set_end(document, "greatest", parameter.greatest, parameter.is_greatest_resolved);
  return document;
}

Value fit_document(const sounding::SoilFit& fit) {
  Value document;
  document.set("layer_count", fit.layer_count);
  document.set("resistivity", documents(fit.resistivity_ohm_m,
                                        [](const auto& r) { return parameter_document(r, "ohm_m"); }));
  document.set("thickness",
               documents(fit.thickness_m, [](const auto& h) { return parameter_document(h, "m"); }));
  set_number(document, {"misfit", "ratio"}, fit.misfit_ratio, "no fit");
  set_number(document, {"chi_square", "ratio"}, fit.chi_square_ratio, "no fit");
  document.set("freedom_count", fit.freedom_count);
  set_number(document, {"corrected_aic", "ratio"}, fit.corrected_aic_ratio,
             "too few readings for this criterion");
  set_number(document, {"error_inflation", "ratio"}, fit.error_inflation_ratio, "no fit");
  document.set("status", detail::fit_status_words(fit.status));
  document.set("why", fit.why);
  document.set("residual_ln_ratio", numbers(fit.residual_ratio));
  if (!fit.traverse_factor_ratio.empty())
    document.set("traverse_factor_ratio", numbers(fit.traverse_factor_ratio));
  document.set("equivalences", documents(fit.equivalences, [](const sounding::Equivalence& equivalence) {
                 const bool is_s = equivalence.kind == sounding::EquivalenceKind::conductance;
                 Value row = parameter_document(equivalence.value, is_s ? "siemens" : "ohm_m2");
                 row.set("layer", equivalence.layer_index + 1);
                 row.set("quantity", is_s ? "conductance" : "transverse resistance");
                 row.set("why", equivalence.sentence);
                 return row;
               }));
  return document;
}

Value reduced_reading_document(const study::SoilPicture& soil, std::size_t index) {
  const sounding::FourPoleReading& reading = soil.readings[index];
  Value document;
  document.set("array", study::array_word(reading.array));
  document.set("plotted_spacing_m", sounding::plotted_spacing_m(reading));
  document.set("resistance_ohm", reading.resistance_ohm);
  document.set("apparent_resistivity_ohm_m", soil.apparent_resistivity_ohm_m.at(index));
  document.set("error_ratio", reading.relative_error_ratio);
  if (!reading.traverse.empty()) document.set("traverse", reading.traverse);
  if (reading.sheet_line > 0) document.set("sheet_line", reading.sheet_line);
  std::vector<std::string> sentences;
  for (const sounding::ReadingDoubt& doubt : soil.doubts)
    if (doubt.reading_index == index) sentences.push_back(doubt.sentence);
  if (!sentences.empty()) document.set("doubts", texts(sentences));
  return document;
}

Value skipped_document(const sounding::SkippedRow& row) {
  Value document;
  document.set("sheet_line", row.line);
  document.set("why", row.why);
  document.set("over_range", row.is_over_range);
  if (row.is_over_range && row.over_range_above_ohm > 0) document.set("above_ohm", row.over_range_above_ohm);
  return document;
}

Value posterior_document(const sounding::SoilPosterior& posterior) {
  Value document;
  document.set("prior", posterior.prior);
  document.set("likelihood", posterior.objective);
  document.set("converged", posterior.status == sounding::PosteriorStatus::converged);
  document.set("why", posterior.why);
  document.set("greatest_r_hat_ratio", posterior.greatest_r_hat_ratio);
  document.set("effective_sample_count", posterior.effective_sample_count);
  document.set("layer_counts",
               documents(posterior.layer_counts, [](const sounding::LayerCountBelief& belief) {
                 Value row;
                 row.set("layer_count", belief.layer_count);
                 row.set("share_ratio", belief.share_ratio);
                 row.set("share_spread_ratio", belief.share_spread_ratio);
                 return row;
               }));
  return document;
}

Value layers_document(const earth::LayeredSoil& soil) {
  return documents(soil.layers(), [](const earth::Layer& layer) {
    Value document;
    document.set("resistivity_ohm_m", layer.resistivity_ohm_m);
    set_number(document, {"thickness", "m"}, layer.thickness_m, "reaches down without end");
    return document;
  });
}

Value field_document(const study::FieldResult& field) {
  Value document;
  document.set("middle_ohm", field.middle_ohm);
  document.set("middle_soil", layers_document(field.middle_soil));
  document.set("equivalent_resistivity_ohm_m", field.equivalent_resistivity_ohm_m);
  document.set("uniform_resistance_per_resistivity_per_m", field.uniform_factor_per_m);
  document.set("error_estimate_ratio", field.estimate_ratio);
  document.set("unknown_count", field.unknown_count);
  document.set("soil_count", static_cast<double>(field.soil_count));
  if (!field.ascending_ohm.empty()) document.set("ascending_ohm", numbers(field.ascending_ohm));
  document.set("comparison", field.comparison);
  document.set("in_fitted_soils", documents(field.fitted, [](const study::FittedResistance& fitted) {
                 Value row;
                 row.set("layer_count", fitted.layer_count);
                 row.set("model", fitted.is_chosen ? "chosen" : "runner-up");
                 row.set("resistance_ohm", fitted.resistance_ohm);
                 return row;
               }));
  return document;
}

Value leakage_document(const study::LeakageCurve& curve) {
  Value document;
  document.set("abscissa", curve.is_depth ? "depth" : "along the conductor");
  document.set("interface_depth_m", numbers(curve.interface_depth_m));
  document.set("paths", documents(curve.paths, [](const study::LeakagePath& path) {
                 Value row;
                 row.set("name", path.name);
                 row.set("from_m", numbers(path.from_m));
                 row.set("to_m", numbers(path.to_m));
                 row.set("share_per_m", numbers(path.share_per_m));
                 return row;
               }));
  return document;
}

Value floor_document(const study::FloorResult& floor) {
  Value document = estimate_document(floor.floor_ohm, "ohm");
  document.set("share_above_most_lenient_ratio", floor.share_above_ratio);
  if (floor.block_ohm) document.set("block", estimate_document(*floor.block_ohm, "ohm"));
  document.set("proves_infeasible", floor.proves_infeasible);
  document.set("why", floor.why);
  return document;
}

Value method_document(const routes::MethodRecord& method) {
  Value document;
  document.set("title", method.title);
  document.set("in_the_rules", method.letters);
  document.set("data", routes::support_name(method.support));
  document.set("finding", method.finding);
  document.set("next_step", method.next_step);
  document.set("provenance", method.provenance);
  return document;
}

Value curves_document(const study::StudyResult& result) {
  Value document = object();
  if (result.sounding_curve) {
    Value curve;
    curve.set("spacing_m", numbers(result.sounding_curve->spacing_m));
    curve.set("fitted_ohm_m", numbers(result.sounding_curve->fitted_ohm_m));
    curve.set("least_ohm_m", numbers(result.sounding_curve->least_ohm_m));
    curve.set("greatest_ohm_m", numbers(result.sounding_curve->greatest_ohm_m));
    document.set("sounding", std::move(curve));
  }
  if (result.resistance_curve) {
    const study::ResistanceCurve& from = *result.resistance_curve;
    const char* suffix = from.is_count ? "count" : "m";
    Value curve;
    curve.set("abscissa", from.abscissa);
    curve.set(detail::Key{"abscissa", suffix}.text(), numbers(from.abscissa_value));
    curve.set(detail::Key{"candidate", suffix}.text(), from.candidate_value);
    curve.set("least_ohm", numbers(from.least_ohm));
    curve.set("value_ohm", numbers(from.value_ohm));
    curve.set("greatest_ohm", numbers(from.greatest_ohm));
    document.set("resistance", std::move(curve));
  }
  if (result.voltage_curve) {
    const study::VoltageCurve& from = *result.voltage_curve;
    Value curve;
    curve.set("load", from.load_description);
    curve.set("operating_current_a", from.operating_current_a);
    curve.set("current_a", numbers(from.current_a));
    curve.set("without_electrode_v", numbers(from.without_electrode_v));
    curve.set("electrode_at_least_v", numbers(from.least_v));
    curve.set("electrode_at_greatest_v", numbers(from.greatest_v));
    curve.set("null_means", "no steady state at that load");
    document.set("voltage", std::move(curve));
  }
  if (result.surroundings) {
    Value curve;
    curve.set("distance_m", numbers(result.surroundings->distance_m));
    curve.set("surface_share_ratio", numbers(result.surroundings->surface_share_ratio));
    document.set("surface_potential", std::move(curve));
  }
  if (result.leakage_curve) document.set("leakage", leakage_document(*result.leakage_curve));
  return document;
}

void set_requirements(Value& document, const study::StudyResult& result) {
  Value requirements;
  requirements.set("limit_v", result.site.limit_v);
  requirements.set("limit_basis", result.site.limit_basis);
  requirements.set("by_model", documents(result.requirements, requirement_document));
  const auto set_name = [&](const char* key, const supply::Requirement* which) {
    requirements.set(key, which == nullptr ? Value() : Value(which->name));
  };
  set_name("strictest", result.requirement_span.strictest);
  set_name("most_lenient", result.requirement_span.most_lenient);
  requirements.set("some_models_not_decided", result.requirement_span.has_uncovered);
  document.set("requirements", std::move(requirements));
}

void set_verdict(Value& document, const study::StudyResult& result) {
  document.set("verdict", study::verdict_name(result.verdict));
  document.set("exit_code", study::exit_code(result.verdict));
  document.set("headline", result.headline);
  document.set("rests_on", result.rests_on);
  document.set("holds_for", texts(result.holds_for));
  document.set("voided_by", texts(result.voided_by));
  document.set("next_steps", texts(result.next_steps));
  document.set("assumptions", texts(result.assumptions));
  document.set("cautions", texts(result.cautions));
}

void set_input(Value& document, const study::StudyResult& result) {
  document.set("input", site_document(result.site));
  if (!result.site.soil) return;
  const auto* source = std::get_if<study::SoilFromReadings>(&*result.site.soil);
  if (source == nullptr) return;
  document.set("input_files", texts(source->file));
}

}  // namespace

Value estimate_document(const Estimate& estimate, const char* unit_suffix) {
  return open_ended_document(estimate, true, unit_suffix);
}

Value interpretation_document(const sounding::Interpretation& interpretation) {
  Value document;
  document.set("objective", interpretation.objective);
  document.set("interval_basis", "central 90 % by profile likelihood");
  document.set("chosen_layer_count", interpretation.chosen_layer_count);
  document.set("why_chosen", interpretation.why_chosen);
  if (interpretation.runner_up_layer_count)
    document.set("runner_up_layer_count", *interpretation.runner_up_layer_count);
  document.set("fits", documents(interpretation.fits, fit_document));
  return document;
}

Value soil_document(const study::SoilPicture& soil) {
  Value document;
  document.set("evidence", study::evidence_name(soil.evidence));
  document.set("summary", soil.summary);
  if (soil.evidence != study::Evidence::none) {
    const auto set_end = [&](const char* name, double value, bool is_resolved) {
      if (is_resolved)
        set_number(document, {name, "ohm_m"}, value, unresolved);
      else
        set_missing(document, {name, "ohm_m"}, unresolved);
    };
    set_end("least_resistivity", soil.least_resistivity_ohm_m, soil.is_least_resolved);
    set_end("greatest_resistivity", soil.greatest_resistivity_ohm_m, soil.is_greatest_resolved);
    document.set("resistivity_basis",
                 "5 % end of the least resistive to 95 % end of the most resistive layer");
    document.set("allowed_soil_count", static_cast<double>(soil.allowed.soils.size()));
    document.set("allowed_soil_basis", soil.allowed.basis);
  }
  if (soil.interpretation) document.set("interpretation", interpretation_document(*soil.interpretation));
  if (soil.posterior) document.set("posterior", posterior_document(*soil.posterior));
  text::Array readings;
  for (std::size_t i = 0; i < soil.readings.size(); ++i)
    readings.push_back(reduced_reading_document(soil, i));
  document.set("readings", std::move(readings));
  document.set("skipped_rows", documents(soil.skipped, skipped_document));
  document.set("data_row_count", soil.data_row_count);
  document.set("notes", texts(soil.notes));
  return document;
}

Value requirement_document(const supply::Requirement& requirement) {
  Value document;
  document.set("name", requirement.name);
  document.set("model", requirement.model ? Value(supply::load_model_name(*requirement.model)) : Value());
  document.set("rules_expression", requirement.is_rules_expression);
  document.set("outcome", detail::outcome_words(requirement.outcome));
  if (requirement.outcome == supply::RequirementOutcome::limited) {
    set_number(document, {"resistance", "ohm"}, requirement.resistance_ohm, "not finite");
  } else {
    set_missing(document, {"resistance", "ohm"}, detail::outcome_words(requirement.outcome));
  }
  if (requirement.at_source_v > 0) document.set("at_source_v", requirement.at_source_v);
  document.set("at_current_a", numbers(requirement.at_current_a));
  document.set("expression", requirement.expression);
  document.set("source", requirement.source);
  document.set("why", requirement.why);
  return document;
}

Value state_document(const supply::OpenPenState& state) {
  Value document;
  document.set("status", state_status_word(state.status));
  document.set("why", state.why);
  if (state.status != supply::OpenPenStatus::solved) {
    set_missing(document, {"met", "v"}, state_status_word(state.status));
    return document;
  }
  document.set("met_v", std::abs(state.met_v));
  document.set("met_phasor_v", numbers({state.met_v.real(), state.met_v.imag()}));
  document.set("star_point_v", std::abs(state.star_point_v));
  document.set("line_to_neutral_v",
               numbers({state.line_to_neutral_v.begin(), state.line_to_neutral_v.end()}));
  document.set("electrode_current_a", state.electrode_current_a);
  document.set("electrode_power_w", state.electrode_power_w);
  document.set("path_current_a", numbers(state.path_current_a));
  document.set("path_power_w", numbers(state.path_power_w));
  document.set("kirchhoff_residual_ratio", state.kirchhoff_residual_ratio);
  document.set("basis", "circuit theory; true earth at 0 V, source phase 1 at 0 degrees");
  return document;
}

Value formula_document(const electrode::FormulaResult& result) {
  const electrode::Formula& formula = *result.formula;
  Value document;
  document.set("id", formula.id);
  document.set("title", formula.title);
  document.set("published", formula.is_published);
  document.set("expression", formula.expression);
  document.set("symbols", formula.symbols);
  document.set("source", formula.source);
  document.set("valid_for", formula.valid);
  document.set("resistance_per_resistivity_per_m", result.geometry_factor_per_m);
  document.set("inside_valid_box", result.is_inside_valid_box);
  if (!result.is_inside_valid_box) document.set("outside_reason", result.outside_reason);
  document.set("least_truth_ratio", formula.least_truth_ratio);
  document.set("greatest_truth_ratio", formula.greatest_truth_ratio);
  return document;
}

Value candidate_document(const study::CandidateResult& candidate) {
  Value document;
  document.set("name", candidate.name);
  document.set("description", candidate.description);
  document.set("verdict", study::verdict_name(candidate.verdict));
  document.set("why", candidate.why);
  document.set("evidence", study::evidence_name(candidate.evidence));
  document.set("electrode",
               open_ended_document(candidate.electrode_ohm, candidate.is_greatest_resolved, "ohm"));
  document.set("to_earth",
               open_ended_document(candidate.to_earth_ohm, candidate.is_greatest_resolved, "ohm"));
  document.set("least_conductance_share_ratio", candidate.least_conductance_share_ratio);
  if (candidate.field) document.set("field_solution", field_document(*candidate.field));
  if (!candidate.field_refusal.empty()) document.set("field_solution_refused", candidate.field_refusal);
  document.set("formulas", documents(candidate.formulas, formula_document));
  if (candidate.state_at_value) document.set("open_pen_state", state_document(*candidate.state_at_value));
  return document;
}

Value tt_document(const routes::TtCheck& check) {
  Value document;
  document.set("limit_v", check.limit_v);
  document.set("resistance", estimate_document(check.resistance_ohm, "ohm"));
  document.set("devices", documents(check.devices, [](const routes::ResidualDeviceCheck& device) {
                 Value row;
                 row.set("rated_residual_current_a", device.rated_residual_current_a);
                 row.set("greatest_resistance_ohm", device.greatest_resistance_ohm);
                 row.set("product_v", device.product_v);
                 row.set("met", device.is_met);
                 return row;
               }));
  document.set("greatest_rated_current_a", check.greatest_rated_current_a);
  document.set("stable", check.is_stable);
  document.set("stability_advice", check.stability_advice);
  document.set("source", texts(check.source));
  return document;
}

Value diagnostic_document(const Diagnostic& diagnostic) {
  Value document;
  document.set("severity", severity_word(diagnostic.severity));
  document.set("file", diagnostic.file);
  document.set("line", diagnostic.at.line);
  document.set("column", diagnostic.at.column);
  document.set("code", diagnostic.code);
  document.set("message", diagnostic.message);
  document.set("hint", diagnostic.hint);
  return document;
}

Value study_document(const study::StudyResult& result) {
  Value document;
  document.set("schema_version", schema_version);
  document.set("program", "ohmroot");
  document.set("program_version", version);
  document.set("reference", result.site.reference);
  document.set("invented", result.site.is_invented);
  set_verdict(document, result);
  document.set("governing_candidate", result.governing_candidate
                                          ? Value(result.candidates.at(*result.governing_candidate).name)
                                          : Value());
  document.set("soil", soil_document(result.soil));
  set_requirements(document, result);
  document.set("candidates", documents(result.candidates, candidate_document));
  document.set("breaks", detail::breaks_document(result));
  document.set("open_pen_load", result.state_description);
  if (result.state_without_electrode)
    document.set("open_pen_without_electrode", state_document(*result.state_without_electrode));
  if (result.floor) document.set("floor", floor_document(*result.floor));
  if (result.nearby) document.set("nearby", detail::nearby_document(*result.nearby));
  if (result.vehicle_touch)
    document.set("vehicle_touch", detail::vehicle_touch_document(*result.vehicle_touch));
  if (result.heating) document.set("heating", detail::heating_document(*result.heating));
  if (result.tt) document.set("tt", tt_document(*result.tt));
  if (result.tt_fault) {
    Value fault;
    fault.set("current", estimate_document(result.tt_fault->current_a, "a"));
    fault.set("touch", estimate_document(result.tt_fault->touch_v, "v"));
    if (result.site.supply.source_earth_ohm > 0)  // 0: not stated
      fault.set("neutral_rise", estimate_document(result.tt_fault->neutral_rise_v, "v"));
    fault.set("overcurrent_loop_ohm", result.tt_fault->overcurrent_loop_ohm);
    fault.set("sentence", result.tt_fault->sentence);
    document.set("tt_fault", std::move(fault));
  }
  if (result.separation) document.set("separation", detail::separation_document(*result.separation));
  document.set("routes", documents(result.methods, method_document));
  document.set("route_record", detail::routes_document(result));
  document.set("curves", curves_document(result));
  document.set("warnings", documents(result.warnings, diagnostic_document));
  set_input(document, result);
  return document;
}

}  // namespace ohmroot::report
