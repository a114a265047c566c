// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/detail/neighbourhood_parts.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/signs.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::report::detail {
namespace {

std::string value_words(const sounding::ParameterInterval& parameter, Dimension dimension) {
  // At the bound of the search the best value means nothing.
  if (!parameter.is_least_resolved || !parameter.is_greatest_resolved) return "not resolved";
  return format_quantity(parameter.value, dimension);
}

std::string interval_words(const sounding::ParameterInterval& parameter, Dimension dimension) {
  return interval_words(
      Ends{parameter.least, parameter.greatest, parameter.is_least_resolved, parameter.is_greatest_resolved},
      dimension);
}

std::string basis_words(const std::string& basis) {
  return basis.empty() ? "" : " Basis: " + basis + ".";
}

void write_layers(Html& html, const sounding::SoilFit& fit) {
  Rows rows;
  for (std::size_t i = 0; i < fit.resistivity_ohm_m.size(); ++i) {
    const auto& resistivity = fit.resistivity_ohm_m[i];
    const bool is_last = i >= fit.thickness_m.size();
    rows.push_back({fmt::format("{}", i + 1), value_words(resistivity, Dimension::resistivity),
                    interval_words(resistivity, Dimension::resistivity),
                    is_last ? "without end" : value_words(fit.thickness_m[i], Dimension::length),
                    is_last ? "-" : interval_words(fit.thickness_m[i], Dimension::length)});
  }
  write_table(html, "Layers fitted to the readings, from the top",
              {{"Layer"},
               {"Resistivity", CellKind::number},
               {"5 to 95 %"},
               {"Thickness", CellKind::number},
               {"5 to 95 %"}},
              rows);
}

void write_fits(Html& html, const sounding::Interpretation& interpretation) {
  Rows rows;
  for (const sounding::SoilFit& fit : interpretation.fits)
    rows.push_back(
        {fmt::format("{}{}", fit.layer_count,
                     fit.layer_count == interpretation.chosen_layer_count ? ", chosen" : ""),
         percent(fit.misfit_ratio, 2), format_number(fit.chi_square_ratio),
         fmt::format("{}", fit.freedom_count),
         fit.status == sounding::FitStatus::too_few_readings ? "-" : format_number(fit.corrected_aic_ratio),
         format_number(fit.error_inflation_ratio),
         sentence(std::string(fit_status_words(fit.status))) + " " + sentence(fit.why)});
  write_table(html,
              "Soil models compared. " + sentence(interpretation.why_chosen) + " " +
                  sentence("objective: " + interpretation.objective),
              {{"Layers"},
               {"Misfit (rms)", CellKind::number},
               {"Chi-square", CellKind::number},
               {"Freedoms", CellKind::number},
               {"Corrected Akaike", CellKind::number},
               {"Errors widened by", CellKind::number},
               {"Remark"}},
              rows);
}

/// What the readings allow, beside the best fits: prior, likelihood, shares, and whether the sampler agrees.
void write_posterior(Html& html, const sounding::SoilPosterior& posterior) {
  Rows rows;
  for (const sounding::LayerCountBelief& belief : posterior.layer_counts)
    rows.push_back({fmt::format("{}", belief.layer_count), percent(belief.share_ratio, 2),
                    percent(belief.share_spread_ratio, 2)});
  write_table(html,
              "Soils that the readings allow: share of each number of layers. " +
                  sentence("likelihood: " + posterior.objective) + " " +
                  sentence("prior: " + posterior.prior),
              {{"Layers"}, {"Share", CellKind::number}, {"Spread between runs", CellKind::number}}, rows);
  html.element("p", fmt::format("Sampler: reversible jumps in independent runs, {}. {}",
                                posterior.status == sounding::PosteriorStatus::converged
                                    ? "which agree"
                                    : "which do NOT agree well",
                                sentence(posterior.why)));
}

std::string source_words(const electrode::Formula& formula) {
  return std::string(formula.source) + (formula.is_published ? "" : " (derived, not a published formula)");
}

std::string truth_words(const electrode::Formula& formula) {
  return fmt::format("{} to {}", format_number(formula.least_truth_ratio),
                     format_number(formula.greatest_truth_ratio));
}

std::string off_words(double formula_factor_per_m, const study::CandidateResult& candidate) {
  if (!candidate.field) return "-";
  return format_signed_percent(formula_factor_per_m / candidate.field->uniform_factor_per_m - 1);
}

std::string soil_words(const earth::LayeredSoil& soil) {
  std::string words;
  for (const earth::Layer& layer : soil.layers()) {
    words += words.empty() ? "" : ", over ";
    words += format_quantity(layer.resistivity_ohm_m, Dimension::resistivity);
    if (std::isfinite(layer.thickness_m))
      words += fmt::format(" for {}", format_quantity(layer.thickness_m, Dimension::length));
  }
  return words;
}

/// "5.1 ohm in the 2-layer soil fitted best; 5.6 ohm (+10 %) in that of 3 layers, the runner-up".
std::string fitted_words(const std::vector<study::FittedResistance>& fitted) {
  if (fitted.empty()) return "-";
  std::string words = fmt::format("{} in the chosen soil of {} layer{}", ohms(fitted[0].resistance_ohm),
                                  fitted[0].layer_count, fitted[0].layer_count == 1 ? "" : "s");
  if (fitted.size() < 2) return words + "; no other model is near it";
  return words + fmt::format("; {} ({}) in the runner-up of {}", ohms(fitted[1].resistance_ohm),
                             format_signed_percent(fitted[1].resistance_ohm / fitted[0].resistance_ohm - 1.0),
                             fitted[1].layer_count);
}

void write_field(Html& html, const study::CandidateResult& candidate) {
  if (!candidate.field) {
    if (!candidate.field_refusal.empty())
      html.element("p", "No field solution for this electrode: " + sentence(candidate.field_refusal));
    return;
  }
  const study::FieldResult& field = *candidate.field;
  html.element("h4", "Field solution");
  html.element("p", field.comparison);
  write_facts(html, {{"Middle soil", soil_words(field.middle_soil)},
                     {"Resistance there", ohms(field.middle_ohm)},
                     {"Equivalent resistivity",
                      format_quantity(field.equivalent_resistivity_ohm_m, Dimension::resistivity)},
                     {"Resistance over resistivity, uniform soil",
                      format_number(field.uniform_factor_per_m) + " per m"},
                     {"Its own error estimate", percent(field.estimate_ratio, 1)},
                     {"Soils solved", fmt::format("{}", field.soil_count)},
                     {"In the soils fitted best", fitted_words(field.fitted)},
                     {"Method", field.method}});
}

/// The published formula beside it, so that a hand can work it again.
void write_default_formula(Html& html, const study::CandidateResult& candidate) {
  const electrode::FormulaResult& result = candidate.formulas.front();
  const electrode::Formula& formula = *result.formula;
  html.element("h4", fmt::format("Published formula, uniform soil: {}", formula.title));
  write_facts(
      html, {{"Expression", std::string(formula.expression), CellKind::formula},
             {"Symbols", std::string(formula.symbols), CellKind::formula},
             {"Resistance over resistivity", format_number(result.geometry_factor_per_m) + " per m"},
             {"Against the field solution, uniform soil", off_words(result.geometry_factor_per_m, candidate)},
             {"Valid for",
              fmt::format("{} ({})", formula.valid,
                          result.is_inside_valid_box ? "inside" : "OUTSIDE: " + result.outside_reason)},
             {"True value over the formula's", truth_words(formula)},
             {"Source", source_words(formula)}});
}

/// The other formulas for the shape in one table: the reader sees by how much they differ.
void write_other_formulas(Html& html, const study::CandidateResult& candidate) {
  Rows rows;
  for (std::size_t i = 1; i < candidate.formulas.size(); ++i) {
    const electrode::FormulaResult& result = candidate.formulas[i];
    rows.push_back(
        {std::string(result.formula->title), format_number(result.geometry_factor_per_m) + " per m",
         off_words(result.geometry_factor_per_m, candidate), truth_words(*result.formula),
         result.is_inside_valid_box ? "yes" : "no: " + result.outside_reason, source_words(*result.formula)});
  }
  if (rows.empty()) return;
  write_table(html,
              "Other formulas for the shape, for comparison; 'ohmroot electrode' prints their expressions",
              {{"Formula"},
               {"Over resistivity", CellKind::number},
               {"Against the field solution", CellKind::number},
               {"True over formula"},
               {"In its range"},
               {"Source"}},
              rows);
}

void write_candidate(Html& html, const study::CandidateResult& candidate) {
  const Element part(html, "section");
  {
    const Element heading(html, "h3");
    html.verbatim(candidate.name);
    html.text(": " + candidate.description);
  }
  html.element("p", sentence(study::verdict_name(candidate.verdict)) + " " + sentence(candidate.why),
               {{"class", "judged"}});
  const auto row = [&](const char* what, const Estimate& estimate) -> std::vector<std::string> {
    return {what, ohms(estimate.value),
            interval_words(Ends{estimate.least, estimate.greatest, true, candidate.is_greatest_resolved},
                           Dimension::resistance),
            estimate.basis};
  };
  write_table(html, "Resistance", {{"What"}, {"Value", CellKind::number}, {"Interval"}, {"Basis"}},
              {row("Electrode alone, as at the measurement", candidate.electrode_ohm),
               row("To earth, worst season", candidate.to_earth_ohm)});
  std::string evidence = "Evidence: " + study::evidence_name(candidate.evidence) + ".";
  if (candidate.least_conductance_share_ratio < 1)
    evidence += fmt::format(
        " The electrode itself carries {} of the current to earth; the rest goes by paths relied on.",
        percent(candidate.least_conductance_share_ratio));
  html.element("p", evidence);
  if (candidate.formulas.empty()) return;
  write_field(html, candidate);
  write_default_formula(html, candidate);
  write_other_formulas(html, candidate);
}

std::string currents_words(const supply::Requirement& requirement) {
  std::string words;
  for (const double current_a : requirement.at_current_a)
    words += (words.empty() ? "" : ", ") + format_quantity(current_a, Dimension::current);
  return words.empty() ? "-" : words;
}

std::string requirement_name(const supply::Requirement& requirement, const supply::RequirementSpan& span) {
  return requirement.name + (&requirement == span.strictest ? " (strictest)" : "") +
         (&requirement == span.most_lenient ? " (most lenient)" : "");
}

/// One column of the open-PEN table.
struct StateColumn {
  std::string head;
  const supply::OpenPenState* state;
};

std::string cell(const StateColumn& column, Dimension dimension, double value) {
  return column.state->status == supply::OpenPenStatus::solved ? format_quantity(value, dimension)
                                                               : "no state";
}

Rows state_rows(const std::vector<StateColumn>& columns, int phase_count) {
  Rows rows;
  const auto add = [&](std::string what, Dimension dimension, auto&& value_of) {
    std::vector<std::string> row{std::move(what)};
    for (const StateColumn& column : columns)
      row.push_back(cell(column, dimension, value_of(*column.state)));
    rows.push_back(std::move(row));
  };
  using State = supply::OpenPenState;
  add("MET to true earth", Dimension::voltage, [](const State& s) { return std::abs(s.met_v); });
  add("Star point of the supply to true earth", Dimension::voltage,
      [](const State& s) { return std::abs(s.star_point_v); });
  for (std::size_t phase = 0; phase < static_cast<std::size_t>(phase_count); ++phase)
    add(fmt::format("Line {} to neutral", phase + 1), Dimension::voltage,
        [phase](const State& s) { return s.line_to_neutral_v.at(phase); });
  add("Current to earth", Dimension::current, [](const State& s) { return s.electrode_current_a; });
  add("Power in the soil", Dimension::power, [](const State& s) { return s.electrode_power_w; });
  std::size_t path_count = 0;
  for (const StateColumn& column : columns)
    path_count = std::max(path_count, column.state->path_current_a.size());
  for (std::size_t path = 0; path_count > 1 && path < path_count; ++path)
    add(fmt::format("Current by path {}", path + 1), Dimension::current,
        [path](const State& s) { return path < s.path_current_a.size() ? s.path_current_a[path] : 0.0; });
  return rows;
}

/// Step and touch; volts where the voltage of the MET is given, else shares of it.
std::string step_sentence(const study::Surroundings& around, double met_v) {
  const auto is_told = [&](double distance_m) {
    return std::find(around.distance_m.begin(), around.distance_m.end(), distance_m) !=
           around.distance_m.end();
  };
  if (around.map.share_ratio.empty() || !is_told(1.0) || !is_told(2.0)) return {};
  const auto words = [&](double share) {
    return met_v > 0.0 ? format_quantity(share * met_v, Dimension::voltage)
                       : fmt::format("{} of the MET voltage", percent(share));
  };
  const auto share_at = [&](double distance_m) {
    const auto found = std::find(around.distance_m.begin(), around.distance_m.end(), distance_m);
    return around.surface_share_ratio.at(static_cast<std::size_t>(found - around.distance_m.begin()));
  };
  const double middle_share =
      around.map.share_ratio[around.map.share_ratio.size() / 2];  // odd counts: the point in the middle
  const double middle_touch = 1.0 - middle_share;
  constexpr double on_the_metal = 0.01;  // a rod stands in the middle: nothing to be told there
  const std::string above = middle_touch > on_the_metal
                                ? fmt::format("above the middle of the electrode {}, ", words(middle_touch))
                                : std::string();
  return fmt::format(
      "A step of one metre, from 1 m to 2 m beyond the electrode, spans {}. Touch voltage: {}2 m beyond it "
      "{}. Metal "
      "round a standing place, as a ring, lowers the touch voltage at a vehicle there by raising the ground, "
      "and "
      "raises the pavement beyond with it. It never counts towards the limit, which is to true earth.",
      words(share_at(1.0) - share_at(2.0)), above, words(1.0 - share_at(2.0)));
}

}  // namespace

void write_soil(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  const study::SoilPicture& soil = result.soil;
  const Section section(html, "soil", "Soil");
  if (soil.evidence == study::Evidence::none) {
    html.element("p", "Nothing is known of the soil.");
  } else {
    html.element("p", sentence(soil.summary));
    html.element(
        "p", fmt::format(
                 "Evidence: {}. Lower end of the least to upper end of the most resistive layer: {}.{}",
                 study::evidence_name(soil.evidence),
                 interval_words(Ends{soil.least_resistivity_ohm_m, soil.greatest_resistivity_ohm_m,
                                     soil.is_least_resolved, soil.is_greatest_resolved},
                                Dimension::resistivity),
                 soil.allowed.basis.empty() ? "" : " Electrodes are solved in: " + soil.allowed.basis + "."));
  }
  figures.write(html, "sounding");
  figures.write(html, "section");
  if (!soil.interpretation) return;
  write_layers(html, soil.interpretation->chosen());
  write_fits(html, *soil.interpretation);
  if (soil.posterior) write_posterior(html, *soil.posterior);
}

void write_electrodes(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  if (result.candidates.empty()) return;
  const Section section(html, "electrodes", "Electrode candidates");
  figures.write(html, "resistance");
  figures.write(html, "distribution");
  figures.write(html, "leakage");
  for (const study::CandidateResult& candidate : result.candidates)
    write_candidate(html, candidate);
}

void write_requirements(Html& html, const study::StudyResult& result) {
  if (result.requirements.empty()) return;
  const Section section(html, "requirements", "Largest resistance to earth that keeps the limit");
  html.element("p", fmt::format("Limit: {} from MET to true earth.{}",
                                as_given(result.site.limit_v, Dimension::voltage),
                                basis_words(result.site.limit_basis)));
  Rows rows;
  for (const supply::Requirement& requirement : result.requirements)
    rows.push_back({requirement_name(requirement, result.requirement_span), requirement_words(requirement),
                    requirement.at_source_v > 0 ? as_given(requirement.at_source_v, Dimension::voltage) : "-",
                    currents_words(requirement)});
  write_table(html, "One row for each load model; all earth paths and the earthing conductor together",
              {{"Load model"}, {"Required"}, {"At source voltage", CellKind::number}, {"At load currents"}},
              rows);
  for (const supply::Requirement& requirement : result.requirements) {
    html.element("h4", requirement.name);
    write_facts(html, {{"Expression", requirement.expression, CellKind::formula},
                       {"Source", requirement.source},
                       {"Why", requirement.why}});
  }
  if (result.requirement_span.has_uncovered)
    html.element("p",
                 "Some load models could not be decided; the verdict counts them as neither met nor missed.");
}

void write_open_pen(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  std::vector<StateColumn> columns;
  if (result.state_without_electrode)
    columns.push_back({"Without the electrode", &*result.state_without_electrode});
  for (const study::CandidateResult& candidate : result.candidates)
    if (candidate.state_at_value)
      columns.push_back({fmt::format("With {}, {}", candidate.name, ohms(candidate.to_earth_ohm.value)),
                         &*candidate.state_at_value});
  if (columns.empty()) return;
  const Section section(html, "open-pen", "When the PEN is broken");
  std::vector<Column> heads{{"Quantity"}};
  for (const StateColumn& column : columns)
    heads.push_back({column.head, CellKind::number});
  html.element("p", fmt::format("The load that governs: {}.", result.state_description));
  write_table(
      html,
      "State there. With an electrode: resistance to earth at its middle value in the worst season, paths "
      "relied on included",
      heads, state_rows(columns, result.site.supply.phase_count));
  for (const StateColumn& column : columns)
    if (column.state->status != supply::OpenPenStatus::solved)
      html.element("p", fmt::format("{}: {}", column.head, column.state->why));
  html.element("p", "A line-to-neutral voltage far from nominal damages appliances whatever the electrode "
                    "does for the MET. "
                    "Current and power last for as long as the break does.");
  figures.write(html, "voltage");
}

void write_surroundings(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  if (!result.surroundings || !result.governing_candidate) return;
  const study::Surroundings& around = *result.surroundings;
  const study::CandidateResult& governing = result.candidates[*result.governing_candidate];
  const bool is_solved =
      governing.state_at_value && governing.state_at_value->status == supply::OpenPenStatus::solved;
  const double met_v = is_solved ? std::abs(governing.state_at_value->met_v) : 0.0;
  const Section section(html, "surroundings", "The ground around the electrode");
  html.element(
      "p", fmt::format(
               "Shares of the potential of '{}' and of all metal joined to the MET, by the field solution in "
               "its middle soil{}. What the feet do not share is the touch voltage: far from the electrode "
               "it is nearly the whole, so a vehicle or a tap joined to the MET is worst where the electrode "
               "is not. Neither a ring nor a rod beside the feet counts towards the limit.",
               governing.name,
               is_solved ? fmt::format("; volts with the PEN broken, at the load that governs and the middle "
                                       "value of the electrode ({} at the MET)",
                                       format_quantity(met_v, Dimension::voltage))
                         : ""));
  Rows rows;
  for (std::size_t i = 0; i < around.distance_m.size(); ++i) {
    const double share = around.surface_share_ratio[i];
    rows.push_back({as_given(around.distance_m[i], Dimension::length), percent(share), percent(1 - share),
                    is_solved ? format_quantity((1 - share) * met_v, Dimension::voltage) : "-"});
  }
  write_table(html, "On the surface beyond the end of the electrode; nothing is taken off for shoes and feet",
              {{"Distance", CellKind::number},
               {"Surface, of the MET", CellKind::number},
               {"Touch, of the MET", CellKind::number},
               {"Touch voltage", CellKind::number}},
              rows);
  html.element("p", step_sentence(around, is_solved ? met_v : 0.0));
  if (result.vehicle_touch)
    html.element("p", vehicle_touch_words(*result.vehicle_touch, is_solved ? met_v : 0.0));
  figures.write(html, "surface");
  figures.write(html, "depth");
}

void write_floor(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  if (!result.floor) return;
  const Section section(html, "floor", "What no electrode on this land can beat");
  figures.write(html, "floor");
  html.element("p", sentence(result.floor->why));
  const auto row = [](const char* what, const Estimate& floor) -> std::vector<std::string> {
    return {what, ohms(floor.value), interval_ohms(floor), floor.basis};
  };
  Rows rows{row("Half an ellipsoid, by hand", result.floor->floor_ohm)};
  if (result.floor->block_ohm)
    rows.push_back(row("Solid block, by field solution", *result.floor->block_ohm));
  write_table(html, "Least resistance of any new electrode: bounds from below, not estimates",
              {{"Volume filled with metal"}, {"Value", CellKind::number}, {"Interval"}, {"Basis"}}, rows);
}

void write_tt(Html& html, const study::StudyResult& result) {
  if (!result.tt) return;
  const routes::TtCheck& check = *result.tt;
  const Section section(html, "tt", "The same electrode on a TT system");
  html.element("p", fmt::format("R_A: {} ({}). Limit for R_A times the rated residual current: {}.{}",
                                interval_ohms(check.resistance_ohm), check.resistance_ohm.basis,
                                as_given(check.limit_v, Dimension::voltage),
                                basis_words(result.site.tt_limit_basis)));
  Rows rows;
  for (const routes::ResidualDeviceCheck& device : check.devices)
    rows.push_back({as_given(1000 * device.rated_residual_current_a, Dimension::ratio) + " mA",
                    ohms(device.greatest_resistance_ohm),
                    format_quantity(device.product_v, Dimension::voltage),
                    device.is_met ? "met" : "NOT met"});
  write_table(html, "Residual current devices against the upper end of R_A",
              {{"Rated residual current"},
               {"Largest R_A", CellKind::number},
               {"R_A times rating", CellKind::number},
               {"Result"}},
              rows);
  html.element("p", fmt::format("Largest rating that would do: {}. {}",
                                format_quantity(check.greatest_rated_current_a, Dimension::current),
                                sentence(check.stability_advice)));
  if (result.tt_fault)
    html.element("p",
                 fmt::format("{} Longest disconnection times at 230 V: final circuits {} s, distribution "
                             "circuits {} s (BS 7671 Table 41.1, second-hand).",
                             sentence(result.tt_fault->sentence),
                             format_number(routes::disconnection_time_s(routes::EarthingArrangement::tt,
                                                                        routes::CircuitKind::final_circuit),
                                           1),
                             format_number(routes::disconnection_time_s(routes::EarthingArrangement::tt,
                                                                        routes::CircuitKind::distribution),
                                           1)));
  write_list(html, check.source);
  html.element("p",
               "TT does not take the over-voltage of a broken PEN off single-phase appliances. TT is one "
               "permitted route with conditions of its own, not the automatic answer: separation from metal "
               "on the supply's earth is not shown by these numbers.");
}

void write_methods(Html& html, const study::StudyResult& result) {
  if (result.methods.empty()) return;
  const Section section(html, "routes", "All permitted routes, and what the data say of each");
  Rows findings;
  Rows rules;
  for (const routes::MethodRecord& method : result.methods) {
    findings.push_back(
        {method.title, std::string(routes::support_name(method.support)), method.finding, method.next_step});
    rules.push_back({method.title, method.letters, method.provenance});
  }
  write_table(html, "Routes for a charge point outdoors on a PME supply",
              {{"Route"}, {"The data"}, {"Finding"}, {"Would decide"}}, findings);
  write_table(html, "Where the routes stand in the rules, and how that is known",
              {{"Route"}, {"In the rules"}, {"Known by"}}, rules);
}

}  // namespace ohmroot::report::detail
