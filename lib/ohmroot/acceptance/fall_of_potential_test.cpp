// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/curve_judgement.hpp>
#include <ohmroot/acceptance/detail/findings.hpp>
#include <ohmroot/acceptance/detail/level_fit.hpp>
#include <ohmroot/acceptance/detail/prediction.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::acceptance {
namespace {

using detail::LevelData;
using detail::LevelFit;
using detail::StakeModel;

constexpr double stray_drop = 16.0;  // of chi-square without one reading: four standard deviations

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

void require_valid(const StakeTest& test) {
  if (test.readings.empty()) throw DomainError("readings", "none", "at least one");
  require_finite("current_direction_deg", test.current_direction_deg, "deg");
  require_within("reading_error_ratio", test.reading_error_ratio, "1", {1e-3, 0.5});
  require_within("tester_error_ratio", test.tester_error_ratio, "1", {1e-3, 0.5});
  for (const StakeReading& reading : test.readings) {
    require_within("current_distance_m", reading.current_distance_m, "m", {0.1, 1e4});
    require_within("potential_distance_m", reading.potential_distance_m, "m", {0.1, 1e4});
    require_within("resistance_ohm", reading.resistance_ohm, "ohm", {1e-3, 1e6});
    require_within("between_deg", reading.between_deg, "deg", {-180.0, 180.0});
    if (reading.between_deg == 0.0 && reading.potential_distance_m == reading.current_distance_m)
      throw DomainError("potential_distance_m", reading.potential_distance_m, "m",
                        "another place than the current stake's");
  }
  for (const auto& stake_ohm : {test.current_stake_ohm, test.potential_stake_ohm})
    if (stake_ohm) require_positive("stake_ohm", *stake_ohm, "ohm");
  if (test.stray_v) require_not_negative("stray_v", *test.stray_v, "V");
}

detail::StakePlace place_of(const StakeReading& reading) {
  return {reading.current_distance_m, reading.potential_distance_m, reading.between_deg};
}

LevelData level_data(const std::vector<StakeModel>& models, const StakeTest& test) {
  LevelData data;
  data.shared_error_ratio = test.tester_error_ratio;
  for (const StakeReading& reading : test.readings) {
    data.reading_ohm.push_back(reading.resistance_ohm);
    data.error_ohm.push_back(test.reading_error_ratio * reading.resistance_ohm);
  }
  for (const StakeModel& model : models) {
    data.shortfall_ohm.emplace_back();
    for (const StakeReading& reading : test.readings)
      data.shortfall_ohm.back().push_back(model.shortfall_ohm(place_of(reading)));
  }
  return data;
}

/// The level, and what of the curve's shape no soil explains. One reading off the curve is left out and named.
LevelFit judged_level(const LevelData& data, const StakeTest& test, std::vector<Finding>& findings) {
  const LevelFit all = detail::fit_level(data);
  if (all.freedom_count < 2 || all.chi_square_ratio <= detail::greatest_chi_square_ratio(all.freedom_count))
    return all;
  if (all.freedom_count >= 3) {
    std::size_t stray = 0;
    std::optional<LevelFit> rest;
    for (std::size_t i = 0; i < data.reading_ohm.size(); ++i) {
      const LevelFit fit = detail::fit_level(detail::without(data, i));
      if (rest && fit.chi_square_ratio >= rest->chi_square_ratio) continue;
      rest = fit;
      stray = i;
    }
    if (all.chi_square_ratio - rest->chi_square_ratio > stray_drop &&
        rest->chi_square_ratio <= detail::greatest_chi_square_ratio(rest->freedom_count)) {
      const StakeReading& reading = test.readings[stray];
      findings.push_back(
          {FindingKind::stray_reading,
           fmt::format("The reading {} with the potential stake at {} stands off the curve through "
                       "the others: a stake in bad contact or beside buried metal, or a slip of the "
                       "pen. It is left out; repeat it half a metre aside.",
                       ohms(reading.resistance_ohm),
                       format_given(reading.potential_distance_m, Dimension::length)),
           FindingWeight::doubt});
      return *rest;
    }
  }
  findings.push_back(
      {FindingKind::metal_near,
       "The curve is that of no soil which the site allows: buried metal lies near the stakes or the "
       "electrode (the network's own earth electrodes, a metal pipe, a cable sheath), or the "
       "electrode is not as described. Turn the line of the stakes by 90 degrees, away from the "
       "street, and repeat.",
       FindingWeight::bar});
  return all;
}

TestResult::ModelCurve model_curve(const StakeModel& model, const LevelFit& fit, double current_distance_m) {
  constexpr int point_count = 80;
  TestResult::ModelCurve curve{current_distance_m, {}, {}};
  for (int i = 1; i < point_count; ++i) {
    const double place_m = current_distance_m * i / point_count;
    curve.potential_distance_m.push_back(place_m);
    curve.reading_ohm.push_back(
        fit.best_level_ohm - fit.best_scale_ratio * model.shortfall_ohm({current_distance_m, place_m, 0.0}));
  }
  return curve;
}

void conclude(TestResult& result) {
  for (const Finding& finding : result.findings) {
    if (finding.weight != FindingWeight::bar) continue;
    result.why = "Cannot tell. " + finding.sentence;
    return;
  }
  if (!result.resistance_ohm) {
    result.why = "Cannot tell: the readings give no resistance.";
    return;
  }
  const Decision decision = decide(*result.resistance_ohm, Known::interval, result.acceptance);
  result.verdict = decision.verdict;
  result.why = decision.why;
}

}  // namespace

TestResult judge_test(const TestedElectrode& electrode, const StakeTest& test, const Criterion& criterion) {
  require_valid(test);
  TestResult result;
  result.acceptance = acceptance_value(criterion);
  const std::vector<StakeModel> models = detail::models_of(electrode, test.start, test.current_direction_deg);
  const detail::Prediction prediction = detail::prediction_of(models, electrode.beyond_soil_ratio);
  result.prediction_ohm = prediction.resistance_ohm;
  result.separation = detail::separation_words(prediction, test.safe_working.electrode_separated);
  result.findings = detail::safe_findings(test.safe_working);

  std::vector<Finding> shape;
  LevelFit fit = judged_level(level_data(models, test), test, shape);
  const bool has_level = fit.resistance_ohm.least > 0.0;
  bool is_network = false;
  if (has_level) {
    for (Finding& finding :
         detail::level_findings({fit.resistance_ohm.value, fit.relative_error_ratio}, prediction)) {
      is_network = is_network || finding.kind == FindingKind::still_connected;
      result.findings.push_back(std::move(finding));
    }
    fit.resistance_ohm.basis = fmt::format(
        "{} readings, each corrected for what the stakes miss by the field solution of the electrode "
        "in {} soils; tester's error included",
        fit.freedom_count + 1, models.size());
    result.resistance_ohm = fit.resistance_ohm;
    if (is_network)
      result.resistance_ohm->basis = "what was read, not the electrode's: " + result.resistance_ohm->basis;
    else
      result.worst_season_ohm = worst_season(criterion, fit.resistance_ohm);
  }
  if (is_network) result.separation.clear();  // the finding says what it is instead
  // a network's curve has a shape of its own, which says nothing more
  if (!is_network) result.findings.insert(result.findings.end(), shape.begin(), shape.end());

  std::vector<StraightCurve> curves = straight_curves(test.readings);
  for (const StraightCurve& curve : curves) {
    result.curves.push_back(detail::judge_curve(models, curve));
    result.model.push_back(model_curve(models[fit.best_soil], fit, curve.current_distance_m));
  }
  result.intersection = intersecting_curves(curves);
  result.needed_distance_m = detail::needed_distance_m(models);
  if (!is_network && test.readings.size() >= 3) {
    for (Finding& finding : detail::overlap_findings(result))
      result.findings.push_back(std::move(finding));
  }
  for (Finding& finding : detail::plain_findings(test, criterion))
    result.findings.push_back(std::move(finding));
  conclude(result);
  return result;
}

std::string finding_name(FindingKind kind) {
  static constexpr std::array<const char*, 11> names{
      "safe working", "still connected",  "overlap",       "metal near",   "stray reading",
      "scatter",      "stake resistance", "stray voltage", "few readings", "higher than predicted",
      "season"};
  return names.at(static_cast<std::size_t>(kind));
}

}  // namespace ohmroot::acceptance
