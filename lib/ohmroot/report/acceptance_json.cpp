// SPDX-License-Identifier: MIT
#include <ohmroot/report/acceptance_json.hpp>
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/json.hpp>

namespace ohmroot::report {
namespace {

using detail::documents;
using detail::numbers;
using text::Value;

void set_optional(Value& document, const char* key, const std::optional<double>& value) {
  document.set(key, value ? Value(*value) : Value());
}

void set_estimate(Value& document, const char* key, const std::optional<Estimate>& value) {
  document.set(key, value ? estimate_document(*value, "ohm") : Value());
}

const char* weight_name(acceptance::FindingWeight weight) {
  switch (weight) {
  case acceptance::FindingWeight::remark:
    return "remark";
  case acceptance::FindingWeight::doubt:
    return "doubt";
  case acceptance::FindingWeight::bar:
    return "bars the verdict";
  }
  return "";
}

Value finding_document(const acceptance::Finding& finding) {
  Value document;
  document.set("finding", acceptance::finding_name(finding.kind));
  document.set("weight", weight_name(finding.weight));
  document.set("sentence", finding.sentence);
  return document;
}

Value limits_document(const acceptance::AcceptanceValue& limits) {
  Value document;
  set_optional(document, "accept_below_ohm", limits.accept_below_ohm);
  set_optional(document, "fail_above_ohm", limits.fail_above_ohm);
  document.set("expression", limits.expression);
  return document;
}

Value slope_document(const acceptance::SlopeResult& slope) {
  Value document;
  document.set("slope_ratio", slope.slope_ratio);
  set_optional(document, "position_ratio", slope.position_ratio);
  set_optional(document, "resistance_ohm", slope.resistance_ohm);
  document.set("refusal", slope.refusal);
  document.set("basis", "table derived; two rows of the published one known, from memory");
  return document;
}

Value curve_document(const acceptance::CurveJudgement& judged) {
  Value document;
  document.set("current_distance_m", judged.curve.current_distance_m);
  document.set("potential_distance_m", numbers(judged.curve.potential_distance_m));
  document.set("reading_ohm", numbers(judged.curve.resistance_ohm));
  Value flat;
  if (judged.flat) {
    flat.set("from_m", judged.flat->from_m);
    flat.set("to_m", judged.flat->to_m);
    flat.set("mean_ohm", judged.flat->mean_ohm);
  }
  document.set("flat_part", std::move(flat));
  set_optional(document, "at_61_8_percent_ohm", judged.at_61_8_percent_ohm);
  document.set("rule_error", estimate_document(judged.rule_error_ratio, "ratio"));
  document.set("correct_position", judged.correct_position_ratio.value > 0.0
                                       ? estimate_document(judged.correct_position_ratio, "ratio")
                                       : Value());
  document.set("rule_holds", judged.does_rule_hold);
  document.set("rule_sentence", judged.rule_sentence);
  document.set("slope_method", judged.slope ? slope_document(*judged.slope) : Value());
  return document;
}

/// What both kinds of test have.
template <class Result>
Value common_document(const Result& result) {
  Value document;
  document.set("schema_version", 1);
  document.set("verdict", acceptance::verdict_name(result.verdict));
  document.set("why", result.why);
  document.set("prediction", estimate_document(result.prediction_ohm, "ohm"));
  document.set("separation", result.separation);
  set_estimate(document, "worst_season", result.worst_season_ohm);
  document.set("limits_in_the_month_of_the_test", limits_document(result.acceptance));
  document.set("findings", documents(result.findings, finding_document));
  return document;
}

}  // namespace

Value acceptance_document(const acceptance::TestResult& result) {
  Value document = common_document(result);
  set_estimate(document, "resistance", result.resistance_ohm);
  document.set("curves", documents(result.curves, curve_document));
  Value crossing;
  if (result.intersection) {
    crossing.set("centre_behind_start_m", result.intersection->centre_m);
    crossing.set("resistance_ohm", result.intersection->resistance_ohm);
    crossing.set("spread_ratio", result.intersection->spread_ratio);
  }
  document.set("intersecting_curves", std::move(crossing));
  set_optional(document, "needed_current_distance_m", result.needed_distance_m);
  return document;
}

Value acceptance_document(const acceptance::OtherTestResult& result) {
  Value document = common_document(result);
  set_estimate(document, "resistance", result.reading.resistance_ohm);
  document.set("is_upper_bound", result.reading.is_upper_bound);
  document.set("measures", result.reading.measures);
  document.set("correction", result.reading.correction);
  document.set("refusal", result.reading.refusal);
  return document;
}

Value register_document(const std::vector<acceptance::RegisterEntry>& entries) {
  return documents(entries, [](const acceptance::RegisterEntry& entry) {
    Value document;
    document.set("line", entry.sheet_line);
    document.set("date", entry.date);
    document.set("electrode", entry.electrode);
    document.set("method", entry.method);
    set_estimate(document, "measured", entry.measured_ohm);
    set_estimate(document, "worst_season", entry.worst_season_ohm);
    set_optional(document, "strictest_limit_ohm", entry.strictest_ohm);
    document.set("verdict", acceptance::verdict_name(entry.verdict));
    document.set("tester", entry.tester);
    document.set("instrument", entry.instrument);
    return document;
  });
}

Value retest_document(const acceptance::RetestTrend& trend) {
  Value document;
  document.set("test_count", trend.test_count);
  document.set("span_years", trend.span_years);
  document.set("yearly_change",
               trend.yearly_change_ratio ? estimate_document(*trend.yearly_change_ratio, "ratio") : Value());
  document.set("scatter_ratio", trend.scatter_ratio);
  Value crossing;
  if (trend.crossing) {
    crossing.set("years_ahead", trend.crossing->years_ahead);
    crossing.set("least_years_ahead", trend.crossing->least_years_ahead);
    set_optional(crossing, "greatest_years_ahead", trend.crossing->greatest_years_ahead);
  }
  document.set("limit_reached", std::move(crossing));
  set_optional(document, "sure_years_ahead", trend.sure_years_ahead);
  document.set("alarm", acceptance::alarm_name(trend.alarm));
  document.set("pressing", acceptance::is_pressing(trend.alarm));
  document.set("sentence", trend.sentence);
  return document;
}

}  // namespace ohmroot::report
