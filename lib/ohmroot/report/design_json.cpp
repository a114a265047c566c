// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/report/design_json.hpp>
#include <ohmroot/report/detail/heating_parts.hpp>
#include <ohmroot/study/rules.hpp>

#include <cmath>

namespace ohmroot::report {
namespace {

using text::Array;
using text::Value;

Value point_document(const design::PlanPoint& point) {
  return Array{Value(point.x_m), Value(point.y_m)};
}

/// A number that there is not is null.
Value finite_or_null(double value) {
  return std::isfinite(value) ? Value(value) : Value();
}

Value document_of(const design::Design& design, const design::Parts& parts) {
  const design::Quantities quantities = design::quantities_of(design.arrangement, parts);
  Value document;
  document.set("description", design::describe(design.arrangement, parts));
  document.set("kind", design::kind_name(design.arrangement.kind));
  document.set("is_bare_tape", design.arrangement.is_tape);
  document.set("cost", design.cost);
  document.set("value_ohm", finite_or_null(design.value_ohm));
  document.set("joins_existing_steel", design.arrangement.joins_steel);
  document.set("rod_length_m", design.arrangement.section_count * parts.rod_section_m);
  Array rods, plates, ways;
  for (const design::PlanPoint& place : design.arrangement.places)
    (design::has_rods(design.arrangement) ? rods : plates).push_back(point_document(place));
  for (const design::PlanLine& way : design.arrangement.ways)
    ways.push_back(Array{point_document(way.from), point_document(way.to)});
  document.set("rods_m", std::move(rods));
  document.set("plates_m", std::move(plates));
  document.set("ways_m", std::move(ways));
  document.set("trench_m", quantities.trench_m);
  document.set("driven_m", quantities.driven_m);
  document.set("tape_m", quantities.tape_m);
  document.set("conductor_m", quantities.conductor_m);
  document.set("section_count", quantities.section_count);
  return document;
}

Value list_of(const std::vector<design::Design>& designs, const design::Parts& parts) {
  Array list;
  for (const design::Design& design : designs)
    list.push_back(document_of(design, parts));
  return list;
}

Value floor_document(const design::FloorShare& floor) {
  Value document;
  document.set("draw_count", floor.draw_count);
  if (floor.draw_count == 0) return document;
  document.set("above_count", floor.above_count);
  document.set("share_above_ratio", floor.share_ratio);
  document.set("exceeded_in_99_percent_ohm", floor.least_1_percent_ohm);
  document.set("middle_ohm", floor.middle_ohm);
  return document;
}

Value proof_document(const design::Proof& proof) {
  Value document;
  document.set("is_proved", proof.is_proved);
  document.set("sentence", proof.sentence);
  document.set("half_ellipsoid", floor_document(proof.ellipsoid));
  document.set("block", floor_document(proof.block));
  document.set("block_refused_count", proof.refused_count);
  return document;
}

Value check_document(const design::Check& check) {
  Value document;
  document.set("is_passed", check.is_passed);
  document.set("draw_count", check.worst_season_ohm.size());
  document.set("met_count", check.met_count);
  document.set("lower_limit_ratio", check.lower_limit_ratio);
  document.set("standard_error_ratio", check.standard_error_ratio);
  document.set("design_value_ohm", check.value_ohm);
  return document;
}

Array texts(const std::vector<std::string>& lines) {
  return Array(lines.begin(), lines.end());
}

}  // namespace

Value design_document(const study::DesignResult& result) {
  const design::Parts& parts = result.question.parts;
  const design::SearchResult& search = result.search;
  Value document;
  document.set("verdict", study::verdict_name(result.verdict));
  document.set("headline", result.headline);
  document.set("evidence", study::evidence_name(result.evidence));
  document.set("required_ohm", result.question.goal.required_ohm);
  document.set("most_lenient_ohm", finite_or_null(result.lenient_ohm));
  document.set("confidence_ratio", result.question.goal.confidence_ratio);
  document.set("currency", result.question.prices.currency);
  document.set("design", search.best ? document_of(*search.best, parts) : Value());
  document.set("check", search.check ? check_document(*search.check) : Value());
  document.set("lowest", search.lowest ? document_of(*search.lowest, parts) : Value());
  document.set("others", list_of(search.others, parts));
  document.set("front", list_of(search.front, parts));
  document.set("by_rod_count", list_of(search.by_rod_count, parts));
  Array sensitivities;
  for (const design::Sensitivity& sensitivity : search.sensitivities) {
    Value entry;
    entry.set("input", sensitivity.input);
    entry.set("cost", sensitivity.cost ? Value(*sensitivity.cost) : Value());
    sensitivities.push_back(std::move(entry));
  }
  document.set("sensitivities", std::move(sensitivities));
  document.set("arrangement_count", search.arrangement_count);
  document.set("is_enumerated", search.is_enumerated);
  document.set("how", search.how);
  document.set("proof", proof_document(result.proof));
  if (result.testability) {
    const study::Testability& test = *result.testability;
    Value entry;
    entry.set("can_be_tested", test.can_be_tested);
    entry.set("current_stake_m", test.needed_m ? Value(*test.needed_m) : Value());
    entry.set("lead_run_m", test.lead_run_m ? Value(*test.lead_run_m) : Value());
    entry.set("sentence", test.sentence);
    document.set("testability", std::move(entry));
    document.set("others_testability", texts(result.others_testability));
  }
  if (result.acceptance && result.acceptance->accept_below_ohm) {
    document.set("accept_below_ohm", *result.acceptance->accept_below_ohm);
    document.set("acceptance_expression", result.acceptance->expression);
  }
  if (!result.met_v.empty()) {
    Value met;
    met.set("load", result.load_description);
    for (const auto& [name, share_ratio] :
         {std::pair("5_percent_v", 0.05), std::pair("50_percent_v", 0.5), std::pair("95_percent_v", 0.95)})
      met.set(name, quantile(result.met_v, share_ratio));
    document.set("met_voltage", std::move(met));
  }
  if (result.over_time) {
    const study::DesignOverTime& over_time = *result.over_time;
    Value entry;
    entry.set("heating", detail::heating_document(over_time.heating));
    if (over_time.touch) {
      entry.set("touch_share_ratio", over_time.touch->share_ratio);
      entry.set("touch_feet_x_m", over_time.touch->feet.x_m);
      entry.set("touch_feet_y_m", over_time.touch->feet.y_m);
    }
    if (over_time.step_share_ratio > 0.0) {
      entry.set("step_share_ratio", over_time.step_share_ratio);
      entry.set("step_x_m", over_time.step_at.x_m);
      entry.set("step_y_m", over_time.step_at.y_m);
    }
    entry.set("sentences", texts(over_time.sentences));
    document.set("over_time", std::move(entry));
  }
  document.set("changes", texts(result.changes));
  document.set("method_prices", texts(result.route_prices));
  document.set("assumptions", texts(result.assumptions));
  document.set("cautions", texts(study::cautions()));
  return document;
}

}  // namespace ohmroot::report
