// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/core/version.hpp>
#include <ohmroot/report/desk_page.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/report/wrapped.hpp>

#include <fmt/format.h>

namespace ohmroot::report {
namespace {

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}
std::string ohm_metres(double value_ohm_m) {
  return format_quantity(value_ohm_m, Dimension::resistivity, 2);
}
std::string metres(double value_m) {
  return format_given(value_m, Dimension::length);
}

constexpr Margins indented{"  ", "  "};

std::string list(std::string_view heading, const std::vector<std::string>& items) {
  if (items.empty()) return {};
  std::string text = fmt::format("\n{}\n", heading);
  for (const std::string& item : items)
    text += wrapped(item, {"  - ", "    "});
  return text;
}

std::string requirement_cell(const supply::Requirement& requirement) {
  switch (requirement.outcome) {
  case supply::RequirementOutcome::limited:
    return format_number(requirement.resistance_ohm);
  case supply::RequirementOutcome::none_needed:
    return "none needed";
  case supply::RequirementOutcome::none_suffices:
    return "none suffices";
  case supply::RequirementOutcome::not_covered:
    return "-";
  }
  return {};
}

std::string requirement_table(const study::DeskFacts& facts, const study::DeskAnswer& answer) {
  std::string text = fmt::format(
      "\nLargest resistance to earth that holds the MET within {} ({} to {} at the source) [ohm]\n",
      format_given(facts.limit_v, Dimension::voltage),
      format_given(facts.supply.lowest_v, Dimension::voltage),
      format_given(facts.supply.highest_v, Dimension::voltage));
  text += fmt::format("  {:<10}", "demand");
  for (const auto& requirement : answer.requirements.front().by_model)
    text += fmt::format("{:>20}", requirement.name);
  text += '\n';
  for (const study::DeskRequirement& row : answer.requirements) {
    text += fmt::format("  {:<10}", format_given(row.demand_a, Dimension::current));
    for (const auto& requirement : row.by_model)
      text += fmt::format("{:>20}", requirement_cell(requirement));
    text += '\n';
  }
  return text;
}

std::string interval(const Estimate& estimate, std::string (*print)(double)) {
  return fmt::format("{} to {}", print(estimate.least), print(estimate.greatest));
}

std::string land_text(const study::DeskAnswer& answer) {
  if (!answer.arrangement) return "\nLand or depth unknown: no break-even can be given.\n";
  const study::LargestArrangement& largest = *answer.arrangement;
  std::string text = fmt::format("\nOn this land ({} x {}, {} deep)\n", metres(answer.volume->length_m),
                                 metres(answer.volume->width_m), metres(answer.volume->depth_m));
  text += wrapped(
      fmt::format("Largest arrangement: {} rods {} x {} round the boundary, {} apart: {} ohm per ohm m. {}.",
                  largest.rod_count, metres(largest.rod.length_m), metres(largest.rod.diameter_m),
                  metres(largest.spacing_m), format_number(largest.factor_per_m), largest.basis),
      indented);
  text += wrapped(
      largest.field_factor_per_m
          ? fmt::format("By the field solution, each rod where it stands: {} ohm per ohm m; the formula "
                        "stands at {} % of that.",
                        format_number(*largest.field_factor_per_m),
                        format_number(100 * largest.factor_per_m / *largest.field_factor_per_m))
          : "No field solution: " + largest.field_refusal + ".",
      indented);
  text += wrapped(
      fmt::format("Break-even: below {} in uniform soil that arrangement meets the strictest limit, {}.",
                  ohm_metres(*answer.break_even_ohm_m), ohms(answer.strictest_ohm)),
      indented);
  text += wrapped(
      fmt::format(
          "Floor: above {} in uniform soil no new electrode inside this land and depth meets even the most "
          "lenient limit, {} (the volume as one solid block of metal, field solution, lower bound: {} ohm "
          "per "
          "ohm m; metal already there is not counted). By hand, half an ellipsoid round it: {} ohm per ohm "
          "m, "
          "above {}.",
          ohm_metres(*answer.no_go_ohm_m), ohms(answer.most_lenient_ohm),
          format_number(answer.block_floor_factor_per_m), format_number(answer.floor_factor_per_m),
          ohm_metres(*answer.ellipsoid_no_go_ohm_m)),
      indented);
  text += wrapped(
      fmt::format(
          "Those {} rods, even infinitely far apart, cannot do it above {} (R >= R1 / n: conductances of "
          "separate electrodes add at most).",
          largest.rod_count, ohm_metres(*answer.separate_rods_no_go_ohm_m)),
      indented);
  text += fmt::format("\nOne test rod {} x {}, joined to nothing\n", metres(answer.test_rod.length_m),
                      metres(answer.test_rod.diameter_m));
  text += fmt::format("  go      below {:>10}   (uniform soil at the break-even)\n",
                      ohms(*answer.go_reading_ohm));
  text +=
      fmt::format("  no-go   above {:>10}   (uniform soil at the floor)\n", ohms(*answer.no_go_reading_ohm));
  text += wrapped("Between the two, and wherever the soil is layered, the rod alone does not tell: measure.",
                  indented);
  return text;
}

std::string soil_text(const study::DeskAnswer& answer) {
  if (!answer.soil_ohm_m) return {};
  std::string text = fmt::format("\nSoil as known: {}\n", interval(*answer.soil_ohm_m, ohm_metres));
  text += wrapped(answer.soil_ohm_m->basis, indented);
  if (answer.arrangement_ohm) {
    text += wrapped(
        fmt::format("The largest arrangement would then have {}; in uniform soil no electrode on this "
                    "land less than {}. {}.",
                    interval(*answer.arrangement_ohm, ohms), ohms(answer.floor_ohm->least),
                    answer.arrangement_ohm->basis),
        indented);
  }
  if (answer.least_rods_bound) {
    text += fmt::format("  at least {} such rods would be needed, even infinitely far apart (R >= R1 / n)\n",
                        *answer.least_rods_bound);
  }
  return text;
}

text::Value lengths_document(double length_m, double diameter_m) {
  text::Value rod;
  rod.set("length_m", length_m);
  rod.set("diameter_m", diameter_m);
  return rod;
}

text::Value facts_document(const study::DeskFacts& facts) {
  const auto answer_word = [](study::Answer a) {
    return a == study::Answer::yes ? "yes" : a == study::Answer::no ? "no" : "unknown";
  };
  text::Value document;
  document.set("earthing", std::string(study::earthing_word(facts.earthing)));
  document.set("looped", answer_word(facts.is_looped));
  if (facts.phase_count) document.set("phases", *facts.phase_count);
  if (facts.demand_a) document.set("demand_a", *facts.demand_a);
  if (facts.soil_word) document.set("soil_word", *facts.soil_word);
  if (facts.rod_reading) document.set("rod_reading_ohm", facts.rod_reading->resistance_ohm);
  const electrode::Rod& rod = facts.rod_reading ? facts.rod_reading->rod : facts.test_rod;
  document.set("rod_length_m", rod.length_m);
  document.set("rod_diameter_m", rod.diameter_m);
  if (facts.land_length_m) document.set("land_length_m", *facts.land_length_m);
  if (facts.land_width_m) document.set("land_width_m", *facts.land_width_m);
  if (facts.depth_m) document.set("depth_m", *facts.depth_m);
  return document;
}

text::Value texts(const std::vector<std::string>& items) {
  text::Array array;
  for (const std::string& item : items)
    array.emplace_back(item);
  return array;
}

}  // namespace

std::string desk_text(const study::DeskFacts& facts, const study::DeskAnswer& answer) {
  std::string text = wrapped(answer.headline);
  if (!answer.why.empty()) text += wrapped(answer.why, indented);
  if (answer.early_exit) {
    text += wrapped(*answer.early_exit, indented);
    if (answer.requirements.empty()) return text + "\n" + wrapped(answer.cautions.front());
  }
  text += requirement_table(facts, answer) + land_text(answer) + soil_text(answer);
  text += list("Measure next", answer.measure_next);
  text += list("Ask the distributor", answer.ask_distributor);
  text += list("Taken for granted", answer.assumptions);
  return text + "\n" + wrapped(answer.cautions.front());
}

text::Value desk_document(const study::DeskFacts& facts, const study::DeskAnswer& answer) {
  text::Value document;
  document.set("schema_version", 1);
  document.set("program_version", std::string(version));
  document.set("facts", facts_document(facts));
  document.set("verdict", study::verdict_name(answer.verdict));
  document.set("headline", answer.headline);
  if (!answer.why.empty()) document.set("why", answer.why);
  if (answer.early_exit) document.set("early_exit", *answer.early_exit);
  document.set("evidence", study::evidence_name(answer.evidence));
  text::Array rows;
  for (const study::DeskRequirement& row : answer.requirements) {
    text::Value entry;
    entry.set("demand_a", row.demand_a);
    text::Array models;
    for (const auto& requirement : row.by_model)
      models.push_back(requirement_document(requirement));
    entry.set("requirements", std::move(models));
    rows.push_back(std::move(entry));
  }
  document.set("by_demand", std::move(rows));
  if (!answer.requirements.empty()) {
    document.set("strictest_ohm", answer.strictest_ohm);
    document.set("most_lenient_ohm", answer.most_lenient_ohm);
  }
  if (answer.arrangement) {
    text::Value largest;
    largest.set("rod",
                lengths_document(answer.arrangement->rod.length_m, answer.arrangement->rod.diameter_m));
    largest.set("rod_count", answer.arrangement->rod_count);
    largest.set("spacing_m", answer.arrangement->spacing_m);
    largest.set("group_factor_ratio", answer.arrangement->group_factor_ratio);
    largest.set("resistance_per_resistivity_per_m", answer.arrangement->factor_per_m);
    if (answer.arrangement->field_factor_per_m)
      largest.set("field_solution_per_resistivity_per_m", *answer.arrangement->field_factor_per_m);
    largest.set("basis", answer.arrangement->basis);
    document.set("largest_arrangement", std::move(largest));
    document.set("floor_per_resistivity_per_m", answer.floor_factor_per_m);
    document.set("block_floor_per_resistivity_per_m", answer.block_floor_factor_per_m);
    document.set("ellipsoid_no_go_ohm_m", *answer.ellipsoid_no_go_ohm_m);
    document.set("break_even_ohm_m", *answer.break_even_ohm_m);
    document.set("no_go_ohm_m", *answer.no_go_ohm_m);
    document.set("separate_rods_no_go_ohm_m", *answer.separate_rods_no_go_ohm_m);
    text::Value test;
    test.set("rod", lengths_document(answer.test_rod.length_m, answer.test_rod.diameter_m));
    test.set("go_below_ohm", *answer.go_reading_ohm);
    test.set("no_go_above_ohm", *answer.no_go_reading_ohm);
    document.set("test_rod", std::move(test));
  }
  if (answer.soil_ohm_m) document.set("soil", estimate_document(*answer.soil_ohm_m, "ohm_m"));
  if (answer.arrangement_ohm) document.set("arrangement", estimate_document(*answer.arrangement_ohm, "ohm"));
  if (answer.floor_ohm) document.set("floor", estimate_document(*answer.floor_ohm, "ohm"));
  if (answer.least_rods_bound) document.set("least_rods_bound_count", *answer.least_rods_bound);
  document.set("measure_next", texts(answer.measure_next));
  document.set("ask_distributor", texts(answer.ask_distributor));
  document.set("assumptions", texts(answer.assumptions));
  document.set("cautions", texts(answer.cautions));
  return document;
}

}  // namespace ohmroot::report
