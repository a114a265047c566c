// SPDX-License-Identifier: MIT
#pragma once

// Studies put together by hand, so that pages, documents and pictures are tested without the calculations
// behind them. Everything in them is invented; the numbers hang together well enough to be looked at.

#include <ohmroot/study/result.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace test_support {

using namespace ohmroot;

/// Wenner curve of two layers, by images: only to give the fixture a smooth line.
inline double two_layer_wenner_ohm_m(double spacing_m, double upper_ohm_m, double lower_ohm_m,
                                     double depth_m) {
  const double k = (lower_ohm_m - upper_ohm_m) / (lower_ohm_m + upper_ohm_m);
  double sum = 0;
  for (int n = 1; n < 400; ++n) {
    const double q = 2 * n * depth_m / spacing_m;
    sum += std::pow(k, n) * (1 / std::sqrt(1 + q * q) - 1 / std::sqrt(4 + q * q));
  }
  return upper_ohm_m * (1 + 4 * sum);
}

inline supply::Requirement requirement(std::string name, std::optional<supply::LoadModel> model, double ohm,
                                       double volt, std::string expression, std::string source) {
  supply::Requirement r;
  r.name = std::move(name);
  r.model = model;
  r.resistance_ohm = ohm;
  r.at_source_v = volt;
  r.at_current_a = {32.0};
  r.expression = std::move(expression);
  r.source = std::move(source);
  r.why = "one phase, in closed form";
  return r;
}

inline supply::OpenPenState one_phase_state(double source_v, double load_ohm,
                                            std::optional<double> earth_ohm) {
  supply::OpenPenState state;
  const double current_a = earth_ohm ? source_v / (load_ohm + *earth_ohm) : 0.0;
  const double met_v = earth_ohm ? current_a * *earth_ohm : source_v;
  state.met_v = met_v;
  const double other_v = std::sqrt(met_v * met_v + met_v * source_v + source_v * source_v);
  state.line_to_neutral_v = {source_v - met_v, other_v, other_v};
  state.electrode_current_a = current_a;
  state.electrode_power_w = earth_ohm ? current_a * current_a * *earth_ohm : 0.0;
  if (earth_ohm) {
    state.path_current_a = {current_a};
    state.path_power_w = {state.electrode_power_w};
  }
  return state;
}

inline const electrode::Formula& fixture_formula() {
  static const electrode::Formula formula{.id = "fixture-rod",
                                          .title = "Vertical rod",
                                          .expression = "R = rho / (2 pi L) (ln(8 L / d) - 1)",
                                          .symbols =
                                              "rho = resistivity [ohm m], L = length [m], d = diameter [m]",
                                          .source = "invented for a test; not a publication",
                                          .valid = "L >= 10 d",
                                          .least_truth_ratio = 0.97,
                                          .greatest_truth_ratio = 1.02,
                                          .is_published = true};
  return formula;
}

inline const electrode::Formula& fixture_other_formula() {
  static const electrode::Formula formula{.id = "fixture-rod-2",
                                          .title = "Vertical rod, end correction",
                                          .expression = "R = rho / (2 pi L) ln(4 L / d)",
                                          .symbols =
                                              "rho = resistivity [ohm m], L = length [m], d = diameter [m]",
                                          .source = "invented for a test; not a publication",
                                          .valid = "L <= 100 d",
                                          .least_truth_ratio = 0.93,
                                          .greatest_truth_ratio = 1.05,
                                          .is_published = false};
  return formula;
}

inline void add_sounding(study::StudyResult& result) {
  study::SoilFromReadings source;
  source.file = {"north-east.csv"};
  sounding::FieldSheet sheet;
  const double spacings_m[] = {0.5, 1, 1.5, 2, 3, 4, 6, 8, 12};
  const double noise_ratio[] = {1.02, 0.97, 1.03, 0.99, 1.04, 0.95, 1.22, 1.01, 0.98};
  for (std::size_t i = 0; i < std::size(spacings_m); ++i) {
    const double a_m = spacings_m[i];
    const double modelled_ohm_m = two_layer_wenner_ohm_m(a_m, 118, 41, 1.7);
    sounding::FourPoleReading reading;
    reading.half_current_spacing_m = 1.5 * a_m;
    reading.half_potential_spacing_m = a_m / 2;
    reading.resistance_ohm = modelled_ohm_m * noise_ratio[i] / (2 * std::numbers::pi * a_m);
    reading.driven_depth_m = 0.1;
    reading.traverse = i % 2 == 0 ? "north" : "east";
    reading.sheet_line = static_cast<int>(i) + 5;
    sheet.readings.push_back(reading);
    result.soil.apparent_resistivity_ohm_m.push_back(modelled_ohm_m * noise_ratio[i]);
  }
  sheet.skipped = {{14, "the cell R is empty", false, 0}, {15, "over range, above 1999 ohm", true, 1999}};
  sheet.notes = {"separator ';', decimal comma, Windows-1252",
                 "columns: a (m), R (ohm), depth (cm), traverse"};
  sheet.data_row_count = 11;
  source.sheet = {sheet};
  result.site.soil = source;

  auto& soil = result.soil;
  soil.evidence = study::Evidence::full_sounding;
  soil.summary = "Two layers: clayey fill of about 118 ohm m over moist clay of about 41 ohm m.";
  soil.least_resistivity_ohm_m = 36;
  soil.greatest_resistivity_ohm_m = 131;
  soil.readings = sheet.readings;
  soil.skipped = sheet.skipped;
  soil.data_row_count = sheet.data_row_count;
  soil.doubts = {{6, "The reading at 6 m lies 22 % above the line of its neighbours: take it again."}};
  soil.notes = sheet.notes;

  sounding::SoilFit uniform;
  uniform.layer_count = 1;
  uniform.resistivity_ohm_m = {{73, 60, 88, true, true}};
  uniform.misfit_ratio = 0.41;
  uniform.chi_square_ratio = 604;
  uniform.freedom_count = 8;
  uniform.corrected_aic_ratio = 606;
  uniform.why = "one layer cannot follow the fall";
  sounding::SoilFit layered;
  layered.layer_count = 2;
  layered.resistivity_ohm_m = {{118, 108, 131, true, true}, {41, 36, 46, true, true}};
  layered.thickness_m = {{1.7, 1.4, 2.1, true, true}};
  layered.misfit_ratio = 0.072;
  layered.chi_square_ratio = 18.7;
  layered.freedom_count = 6;
  layered.corrected_aic_ratio = 29.5;
  layered.error_inflation_ratio = 1.76;
  layered.why = "twelve starts agree";
  for (const double ratio : noise_ratio)
    layered.residual_ratio.push_back(std::log(ratio));
  sounding::Interpretation interpretation;
  interpretation.fits = {uniform, layered};
  interpretation.chosen_layer_count = 2;
  interpretation.objective = "weighted least squares of ln(apparent resistivity)";
  interpretation.why_chosen = "The second layer lowers the corrected Akaike criterion by 577.";
  soil.interpretation = interpretation;

  study::SoundingCurve curve;
  for (int i = 0; i <= 60; ++i) {
    const double a_m = 0.3 * std::pow(100.0, i / 60.0);
    curve.spacing_m.push_back(a_m);
    curve.fitted_ohm_m.push_back(two_layer_wenner_ohm_m(a_m, 118, 41, 1.7));
  }
  result.sounding_curve = curve;
}

inline double rod_factor_per_m(double length_m) {
  return (std::log(8 * length_m / 0.016) - 1) / (2 * std::numbers::pi * length_m);
}

inline void add_curves(study::StudyResult& result) {
  study::ResistanceCurve rods;
  rods.abscissa = "rod length";
  for (int i = 0; i <= 24; ++i) {
    const double length_m = 0.6 + 0.1 * i;
    rods.abscissa_value.push_back(length_m);
    rods.least_ohm.push_back(36 * rod_factor_per_m(length_m));
    rods.value_ohm.push_back(69 * rod_factor_per_m(length_m) * 1.15);
    rods.greatest_ohm.push_back(131 * rod_factor_per_m(length_m) * 1.3);
  }
  rods.candidate_value = 2.4;
  result.resistance_curve = rods;

  study::VoltageCurve voltage;
  for (int i = 0; i <= 50; ++i) {
    const double current_a = 0.8 * i;
    voltage.current_a.push_back(current_a);
    const auto met_v = [&](double earth_ohm) {
      return current_a == 0 ? 0.0 : 253 * earth_ohm / (earth_ohm + 230 / current_a);
    };
    voltage.without_electrode_v.push_back(current_a == 0 ? std::numeric_limits<double>::quiet_NaN() : 253.0);
    voltage.least_v.push_back(met_v(rods.least_ohm[18]));
    voltage.greatest_v.push_back(met_v(rods.greatest_ohm[18]));
  }
  voltage.operating_current_a = 32;
  voltage.load_description = "charge point alone, constant impedance, 253 V at the source";
  result.voltage_curve = voltage;

  study::LeakageCurve leakage;
  leakage.is_depth = true;
  leakage.interface_depth_m = {1.7};
  leakage.paths = {{"rods 1 and 3", {0.0, 1.7, 2.1}, {1.7, 2.1, 2.4}, {0.10, 0.20, 1.0 / 3}},
                   {"rod 2", {0.0, 1.7, 2.1}, {1.7, 2.1, 2.4}, {0.09, 0.15, 0.29}}};
  result.leakage_curve = leakage;
}

/// A home on one phase with a 7 kW charge point, where a rod will not do.
inline study::StudyResult not_feasible_study() {
  study::StudyResult result;
  auto& site = result.site;
  site.reference = "DEMO-01";
  site.title = "Home with a charge point on the drive";
  site.is_invented = true;
  site.edition = "BS 7671:2018+A2:2022";
  site.land = study::Land{{{0, 0}, {12, 0}, {12, 8}, {0, 8}}, 3.0};
  site.loads = {{}};
  site.loads[0].name = "charge point";
  site.loads[0].greatest_current_a = 32;
  site.loads[0].current_ceiling_a = 32;
  site.loads[0].charge_point = supply::ChargePoint::alone;
  site.month_of_measurement = "March";
  site.season = study::FactorInterval{1.0, 1.3, "common practice for the upper metre, no source"};
  site.other_paths = {{"steel water pipe", 12.0, false, ""}};
  site.earthing_conductor_ohm = 0.02;
  site.limit_basis = "70 V by the rules, quoted second-hand";
  site.tt_limit_basis = "50 V by the rules, quoted second-hand";
  site.break_position = study::BreakPosition::own_service;
  site.break_reason = "The service is not looped: the distributor's record of the cut-out was seen.";
  site.candidates = {{"one rod", electrode::Rod{2.4, 0.016}}};
  site.seed = 7;
  add_sounding(result);
  add_curves(result);

  result.requirements = {
      requirement("constant impedance", supply::LoadModel::constant_impedance, 2.749, 253,
                  "R = 70 U0 / (I (U - 70)) = 70 x 230 / (32 x (253 - 70))", "derived from the circuit"),
      requirement("constant current", supply::LoadModel::constant_current, 2.188, 253, "R = 70 / I = 70 / 32",
                  "derived from the circuit"),
      requirement("constant power", supply::LoadModel::constant_power, 1.391, 216.2,
                  "R = 70 (U - 70) / (U0 I) = 70 x (216.2 - 70) / (230 x 32)", "derived from the circuit"),
      requirement("rules' expression", std::nullopt, 2.749, 253, "R = 70 U0 / (I (1.1 U0 - 70))",
                  "BS 7671:2018 Annex A722 (from memory)")};
  result.requirement_span = {&result.requirements[2], &result.requirements[0], false};
  result.state_description = "charge point 32 A; constant impedance; 253 V at the source";
  result.state_description = "charge point 32 A; constant impedance; 253 V at the source";
  result.state_without_electrode = one_phase_state(253, 230.0 / 32, std::nullopt);

  study::CandidateResult rod;
  rod.name = "one rod";
  rod.description = "rod 2.4 m x 16 mm";
  rod.formulas = {{&fixture_formula(), rod_factor_per_m(2.4), true, ""},
                  {&fixture_other_formula(), 0.4328, false, "L / d is 150, the box ends at 100"}};
  rod.electrode_ohm = {32.8, 14.6, 54.2, "fixture-rod between the least and the most resistive layer"};
  rod.to_earth_ohm = {37.8, 14.6, 70.5,
                      "electrode times season 1 to 1.3, plus 20 mohm of earthing conductor"};
  rod.evidence = study::Evidence::full_sounding;
  rod.verdict = study::Verdict::not_feasible;
  rod.why = "Its lowest likely resistance, 14.6 ohm, is above the most lenient requirement, 2.75 ohm.";
  rod.state_at_value = one_phase_state(253, 230.0 / 32, 37.8);
  result.candidates = {rod};
  result.governing_candidate = 0;
  study::FloorResult floor;
  floor.floor_ohm = {1.73, 1.35, 4.9, "half-ellipsoid round land and depth"};
  floor.why = "The floor of 1.35 ohm is below 2.75 ohm: more metal on this land is not ruled out.";
  result.floor = floor;
  routes::TtCheck tt;
  tt.resistance_ohm = {37.8, 14.6, 70.5, "as the candidate"};
  tt.devices = {
      {0.03, 1666.7, 2.1, true}, {0.1, 500, 7.05, true}, {0.3, 166.7, 21.2, true}, {1.0, 50, 70.5, false}};
  tt.greatest_rated_current_a = 0.709;
  tt.is_stable = true;
  tt.stability_advice =
      "At most 70.5 ohm: below the 200 ohm above which the value may drift with the seasons.";
  tt.source = {"R_A times I_dn at most 50 V: BS 7671:2018 411.5.3, quoted second-hand"};
  result.tt = tt;
  const auto method = [](routes::Method which, std::string title, std::string letters,
                         routes::Support support, std::string finding, std::string next_step) {
    routes::MethodRecord record;
    record.method = which;
    record.title = std::move(title);
    record.letters = std::move(letters);
    record.support = support;
    record.finding = std::move(finding);
    record.next_step = std::move(next_step);
    record.provenance = "quoted second-hand";
    return record;
  };
  result.methods.push_back(method(routes::Method::supplementary_electrode, "Electrode at the MET",
                                  "(ii), later (b)", routes::Support::contradicts,
                                  "14.6 ohm at best against 2.75 ohm", "none for this rod"));
  result.methods.push_back(method(routes::Method::probe_device, "Device that senses MET to earth by a probe",
                                  "(iii), later (c)", routes::Support::does_not_tell,
                                  "a probe needs about 100 kohm at most", "find a place for a probe"));
  result.methods.push_back(method(routes::Method::tt_island, "TT for the charge point", "note 3",
                                  routes::Support::supports, "70.5 ohm at most serves every RCD up to 500 mA",
                                  "measure the distance to buried PME metal"));
  result.verdict = study::Verdict::not_feasible;
  result.headline =
      "Not feasible: this rod cannot keep the main earthing terminal within 70 V when the PEN breaks.";
  result.rests_on =
      "Its resistance to earth is 14.6 ohm at best; 2.75 ohm or less is needed, so it is 5.3 times too high.";
  result.holds_for = {"A break in the customer's own service.", "All three load models; 216.2 V to 253 V.",
                      "BS 7671:2018+A2:2022."};
  result.assumptions = {"The soil is layered horizontally.", "The star point's own earth is taken as 0 ohm."};
  result.voided_by = {"A load other than stated.", "A looped service."};
  result.next_steps = {"Ask the distributor for a three-phase supply.",
                       "Consider a TT island: see the TT section."};
  result.cautions = {"Before any test, prove that the MET is not live to a remote earth.",
                     "Find buried services before driving a rod or a stake.",
                     "This is decision support, not certification."};
  result.warnings = {{Severity::warning,
                      "north-east.csv",
                      {15, 3},
                      "over-range",
                      "the tester showed over range: row left out",
                      ""}};
  return result;
}

/// A workshop on three phases where six rods in line will do; its soil is stated, its curve counts rods.
inline study::StudyResult feasible_study() {
  study::StudyResult result;
  auto& site = result.site;
  site.reference = "DEMO-02";
  site.title = "Workshop with resistance heating";
  site.is_invented = false;
  site.soil = study::SoilFromLayers{{{55, 80, 2.5}, {18, 24, std::numeric_limits<double>::infinity()}},
                                    "borehole log"};
  site.supply.phase_count = 3;
  for (int phase = 1; phase <= 3; ++phase) {
    supply::Load load;
    load.name = "heaters";
    load.phase = phase;
    load.least_current_a = 30;
    load.greatest_current_a = phase == 1 ? 60 : 40;
    load.stated_model = supply::LoadModel::constant_impedance;
    load.model_basis = "resistance heating only";
    load.minimum_basis = "two weeks of logging";
    site.loads.push_back(load);
  }
  site.season = study::FactorInterval{1.0, 1.2, "rods below the frost and dry zone"};
  site.month_of_measurement = "September";
  site.break_position = study::BreakPosition::own_service;
  site.break_reason = "own transformer room";
  site.candidates = {{"rod line", electrode::RodLine{{3.0, 0.016}, 6, 3.0}}};
  result.soil.evidence = study::Evidence::stated_layers;
  result.soil.summary = "Two layers as stated: 55 to 80 ohm m, below 2.5 m 18 to 24 ohm m.";
  result.soil.least_resistivity_ohm_m = 18;
  result.soil.greatest_resistivity_ohm_m = 80;
  result.requirements = {requirement("constant impedance", supply::LoadModel::constant_impedance, 9.2, 253,
                                     "Millman's theorem at the worst corner", "derived from the circuit")};
  result.requirements[0].at_current_a = {60, 30, 30};
  result.requirement_span = {&result.requirements[0], &result.requirements[0], false};

  study::ResistanceCurve rods;
  rods.abscissa = "number of rods";
  rods.is_count = true;
  for (int count = 1; count <= 10; ++count) {
    const double shared_ratio = (1 + 0.35 * std::log(count)) / count;
    rods.abscissa_value.push_back(count);
    rods.least_ohm.push_back(18 * rod_factor_per_m(3) * shared_ratio);
    rods.value_ohm.push_back(38 * rod_factor_per_m(3) * shared_ratio);
    rods.greatest_ohm.push_back(80 * rod_factor_per_m(3) * shared_ratio * 1.2);
  }
  rods.candidate_value = 6;
  result.resistance_curve = rods;

  study::VoltageCurve voltage;
  for (int i = 0; i <= 40; ++i) {
    const double current_a = 2.0 * i;
    const double unbalance_a = std::max(0.0, current_a - 30);
    voltage.current_a.push_back(current_a);
    const double without_v = 253 * unbalance_a / (current_a + 60 + 1e-9);
    voltage.without_electrode_v.push_back(without_v);
    voltage.least_v.push_back(without_v / (1 + 230 / (rods.least_ohm[5] * (current_a + 60))));
    voltage.greatest_v.push_back(without_v / (1 + 230 / (rods.greatest_ohm[5] * (current_a + 60))));
  }
  voltage.operating_current_a = 60;
  voltage.load_description = "phase 1 at its greatest, the others at their evidenced least";
  result.voltage_curve = voltage;

  study::CandidateResult line;
  line.name = "rod line";
  line.description = "6 rods 3 m x 16 mm in line, 3 m apart";
  line.formulas = {{&fixture_formula(), 0.0985, true, ""}};
  line.electrode_ohm = {3.7, 1.8, 7.1, "fixture"};
  line.to_earth_ohm = {3.9, 1.8, 8.5, "fixture, season 1 to 1.2"};
  line.evidence = study::Evidence::stated_layers;
  line.verdict = study::Verdict::feasible;
  line.why = "Its highest likely resistance, 8.5 ohm, is below the strictest requirement, 9.2 ohm.";
  supply::OpenPenState state;
  state.met_v = {38.2, 6.1};
  state.line_to_neutral_v = {215.1, 275.2, 271.8};
  state.electrode_current_a = 9.9;
  state.electrode_power_w = 383;
  state.path_current_a = {9.9};
  state.path_power_w = {383};
  line.state_at_value = state;
  result.candidates = {line};
  result.governing_candidate = 0;
  result.verdict = study::Verdict::feasible;
  result.headline = "Feasible: six rods in line keep the main earthing terminal within 70 V.";
  result.rests_on = "Resistance to earth at most 8.5 ohm against 9.2 ohm: 8 % in hand.";
  result.cautions = {"This is decision support, not certification."};
  return result;
}

/// Nearly nothing known: what a page must stand.
inline study::StudyResult empty_study() {
  study::StudyResult result;
  result.site.reference = "EMPTY";
  result.headline = "Cannot be decided: nothing is known of the soil.";
  return result;
}

/// Metal at 200 V, its shares made up but falling, the TT electrode 4 m away, one post within reach.
inline study::SeparationResult invented_separation() {
  const auto share = [](double value) { return Estimate{value, 0.9 * value, 1.1 * value, "by hand"}; };
  study::SeparationResult separation;
  separation.metal_v = 200.0;
  separation.metal_v_basis = "invented";
  routes::Transfer transfer;
  transfer.nearest_m = 4.0;
  transfer.electrode_share_ratio = share(0.3);
  transfer.electrode_v = share(60.0);
  transfer.most_at_feet = routes::PlaceShare{{1.0, 2.0}, share(0.5)};
  transfer.least_at_feet = routes::PlaceShare{{1.0, 7.0}, share(0.2)};
  transfer.feet_v = share(100.0);
  transfer.touch_on_tt_v = share(40.0);
  transfer.touch_on_pme_v = share(160.0);
  transfer.finding = "the TT electrode takes 30 % of it";
  separation.transfer = transfer;
  separation.electrode_share_ratio = share(0.31);
  separation.feet_share_ratio = share(0.52);
  study::SeparationCurve curve;
  for (double distance_m = 0.5; distance_m < 50.0; distance_m *= 1.3) {
    curve.distance_m.push_back(distance_m);
    curve.share_ratio.push_back(0.8 / (1.0 + 0.4 * distance_m));
    curve.uniform_share_ratio.push_back(0.9 / (1.0 + 0.4 * distance_m));
    curve.rod_table_share_ratio.push_back(0.4 / (1.0 + distance_m));
  }
  curve.is_layered = true;
  curve.practice_m = {2.0, 3.5, 3.6};
  curve.practice_share_ratio = {0.444, 0.333, 0.328};
  curve.level_ratio = 0.25;
  curve.at_level =
      routes::ShareDistance{routes::DistanceStatus::found, 5.5, 0.25, 0.001, "beyond 5.50 m it is less"};
  separation.curve = curve;
  separation.reach = {{"lamp post", 1.75, true, "lamp post is within arm's reach"}};
  return separation;
}

}  // namespace test_support
