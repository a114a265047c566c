// SPDX-License-Identifier: MIT
#include "command.hpp"
#include "record_words.hpp"
#include "soil_word.hpp"

#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/report/plan_page.hpp>
#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/next_spacing.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>

namespace ohmroot::cli {
namespace {

struct PlanOptions {
  std::optional<double> depth_m;
  std::optional<double> extent_m;
  std::optional<double> land_m;
  std::optional<double> diameter_m;
  std::optional<double> error_ratio;
  double enough_interval_ratio = 1.5;
  std::string soil;
  std::string site;
  std::string sheet;
  std::string page;
  bool may_overwrite = false;
  bool as_json = false;
};

/// A plan, and what is to be expected at its spacings.
struct Planned {
  report::FieldPlan field;
  std::vector<sounding::FourPoleReading> taken;
  std::optional<sounding::NextSpacing> next;  ///< of those not taken yet
  std::string all_taken;                      ///< in place of next, where no spacing of the plan is left
};

// --- What a reading should be ------------------------------------------------------------------------------

struct SoilRange {
  double least_ohm_m;
  double greatest_ohm_m;
  std::string basis;
};

SoilRange soil_range(const std::string& word) {
  if (!word.empty()) {
    const earth::SoilWord& found = soil_word(word, "plan");
    return {found.least_resistivity_ohm_m, found.greatest_resistivity_ohm_m,
            fmt::format("Ranges for {} ({} to {} in published lists), uniform; layers go beyond.", found.word,
                        format_quantity(found.least_resistivity_ohm_m, Dimension::resistivity, 2),
                        format_quantity(found.greatest_resistivity_ohm_m, Dimension::resistivity, 2))};
  }
  SoilRange any{1e30, 0.0, {}};
  for (const earth::SoilWord& known : earth::soil_words()) {
    any.least_ohm_m = std::min(any.least_ohm_m, known.least_resistivity_ohm_m);
    any.greatest_ohm_m = std::max(any.greatest_ohm_m, known.greatest_resistivity_ohm_m);
  }
  any.basis = "Ranges for any soil at all, since no soil was named: wide.";
  return any;
}

std::vector<report::ExpectedReading> expected_for(const sounding::SpacingPlan& plan, const SoilRange& soil) {
  std::vector<report::ExpectedReading> expected;
  for (const sounding::PlannedSpacing& spacing : plan.spacings)
    expected.push_back(
        {soil.least_ohm_m / spacing.geometric_factor_m, soil.greatest_ohm_m / spacing.geometric_factor_m});
  return expected;
}

// --- With readings -----------------------------------------------------------------------------------------

bool is_taken(const std::vector<sounding::FourPoleReading>& taken, double spacing_m) {
  return std::any_of(taken.begin(), taken.end(), [&](const sounding::FourPoleReading& reading) {
    return std::abs(std::log(sounding::equivalent_wenner_spacing_m(reading) / spacing_m)) < 0.1;
  });
}

void take_readings(Planned& planned, const PlanOptions& options) {
  Diagnostics diagnostics(options.sheet);
  sounding::FieldSheet sheet = sounding::read_field_sheet(read_input(options.sheet), {}, diagnostics);
  planned.taken = std::move(sheet.readings);
  report_diagnostics(diagnostics, options.as_json);
  sounding::PosteriorOptions sampling;
  sampling.bounds = std::move(sheet.bounds);
  sampling.rods = std::move(sheet.rods);
  const sounding::SoilPosterior posterior = sounding::sample_posterior(planned.taken, sampling);
  std::vector<sounding::FourPoleReading> all;
  std::vector<sounding::FourPoleReading> open;
  for (const sounding::PlannedSpacing& spacing : planned.field.plan.spacings) {
    all.push_back(sounding::wenner_reading(spacing.spacing_m, 1.0));
    all.back().relative_error_ratio = options.error_ratio.value_or(all.back().relative_error_ratio);
    if (!is_taken(planned.taken, spacing.spacing_m)) open.push_back(all.back());
  }
  const std::vector<double> rod_ohm =
      sounding::rod_resistances_ohm(posterior.soils, {*options.depth_m, options.diameter_m.value_or(0.016)});
  sounding::NextSpacingOptions limits;
  limits.enough_interval_ratio = options.enough_interval_ratio;
  const sounding::NextSpacing of_all = sounding::next_spacing(posterior.soils, rod_ohm, all, limits);
  planned.field.expected.clear();
  for (const sounding::ReadingGain& gain : of_all.gains)
    planned.field.expected.push_back({gain.least_resistance_ohm, gain.greatest_resistance_ohm});
  planned.field.expected_basis = fmt::format("Ranges: 90 % of what the soils show that the {} readings in {} "
                                             "allow, the error of the tester included.",
                                             planned.taken.size(), options.sheet);
  if (!open.empty())
    planned.next = sounding::next_spacing(posterior.soils, rod_ohm, open, limits);
  else
    planned.all_taken = fmt::format(
        "Every spacing of the plan has been read. The rod's resistance is known to {} to {} (90 %).",
        format_quantity(of_all.least_ohm, Dimension::resistance),
        format_quantity(of_all.greatest_ohm, Dimension::resistance));
}

Planned planned_for(const PlanOptions& options) {
  Planned planned;
  planned.field.site = options.site;
  planned.field.electrode = {*options.depth_m, options.extent_m.value_or(0.0)};
  planned.field.plan = sounding::plan_spacings(planned.field.electrode, {*options.land_m});
  if (!options.sheet.empty()) {
    take_readings(planned, options);
    return planned;
  }
  const SoilRange soil = soil_range(options.soil);
  planned.field.expected = expected_for(planned.field.plan, soil);
  planned.field.expected_basis = soil.basis;
  return planned;
}

// --- Output ------------------------------------------------------------------------------------------------

void print_plan(const Planned& planned) {
  print(said(planned.field.plan.why + "."));
  const double middle_m = report::tape_middle_m(planned.field.plan);
  std::vector<std::vector<std::string>> rows{
      {"a", "A at", "M at", "N at", "B at", "stakes", "depth", "R should be", ""}};
  for (std::size_t i = 0; i < planned.field.plan.spacings.size(); ++i) {
    const sounding::PlannedSpacing& spacing = planned.field.plan.spacings[i];
    const report::ExpectedReading& expected = planned.field.expected[i];
    const auto at = [&](double from_middle_m) { return fmt::format("{:.2f}", middle_m + from_middle_m); };
    rows.push_back(
        {format_given(spacing.spacing_m, Dimension::length), at(-spacing.outer_stake_m),
         at(-spacing.inner_stake_m), at(spacing.inner_stake_m), at(spacing.outer_stake_m),
         format_quantity(spacing.greatest_stake_depth_m, Dimension::length, 2),
         format_quantity(spacing.median_depth_m, Dimension::length, 2),
         fmt::format("{} to {}", format_quantity(expected.least_resistance_ohm, Dimension::resistance, 2),
                     format_quantity(expected.greatest_resistance_ohm, Dimension::resistance, 2)),
         is_taken(planned.taken, spacing.spacing_m) ? "read" : ""});
  }
  print("\n" +
        said(fmt::format(
            "One tape along the line, its middle at {:.2f} m; A, M, N, B in metres on the tape. Stakes: "
            "at most so deep. Depth: half of the reading comes from above it.",
            middle_m)) +
        table(rows) + "\n" + said(planned.field.expected_basis));
}

void print_next(const Planned& planned) {
  for (const sounding::ReadingDoubt& doubt : sounding::doubtful_readings(planned.taken))
    print(item("doubtful: " + doubt.sentence));
  print("\n" + said(planned.next ? planned.next->sentence : planned.all_taken));
}

text::Value plan_document(const Planned& planned) {
  text::Value document;
  document.set("reaches_depth", planned.field.plan.reaches_depth);
  document.set("why", planned.field.plan.why);
  document.set("expected_basis", planned.field.expected_basis);
  text::Array spacings;
  for (std::size_t i = 0; i < planned.field.plan.spacings.size(); ++i) {
    const sounding::PlannedSpacing& spacing = planned.field.plan.spacings[i];
    text::Value row;
    row.set("spacing_m", spacing.spacing_m);
    row.set("inner_stake_m", spacing.inner_stake_m);
    row.set("outer_stake_m", spacing.outer_stake_m);
    row.set("greatest_stake_depth_m", spacing.greatest_stake_depth_m);
    row.set("median_depth_m", spacing.median_depth_m);
    row.set("least_resistance_ohm", planned.field.expected[i].least_resistance_ohm);
    row.set("greatest_resistance_ohm", planned.field.expected[i].greatest_resistance_ohm);
    row.set("is_taken", is_taken(planned.taken, spacing.spacing_m));
    spacings.push_back(std::move(row));
  }
  document.set("spacings", std::move(spacings));
  if (!planned.next) return document;
  text::Value next;
  const sounding::ReadingGain& best = planned.next->gains[planned.next->best_index];
  next.set("is_enough", planned.next->is_enough);
  next.set("sentence", planned.next->sentence);
  next.set("spacing_m", sounding::plotted_spacing_m(best.reading));
  next.set("variance_left_ratio", best.variance_left_ratio);
  next.set("electrode_least_ohm", planned.next->least_ohm);
  next.set("electrode_middle_ohm", planned.next->middle_ohm);
  next.set("electrode_greatest_ohm", planned.next->greatest_ohm);
  document.set("next", std::move(next));
  return document;
}

void run_plan(const PlanOptions& options) {
  if (!options.depth_m || !options.land_m)
    throw CommandError(usage, "plan: give --depth and --land, as in --depth \"6 m\" --land \"30 m\"");
  if (!options.page.empty() && !options.may_overwrite && std::filesystem::exists(options.page))
    throw CommandError(cannot_create, options.page + ": is there already; --overwrite replaces it");
  const Planned planned = planned_for(options);
  if (!options.page.empty()) write_file(options.page, report::plan_page(planned.field));
  if (options.as_json) return print(text::write_json(plan_document(planned)));
  print_plan(planned);
  if (!options.sheet.empty()) print_next(planned);
  if (!options.page.empty()) print(fmt::format("\nSheet to print: {}\n", options.page));
}

}  // namespace

void add_plan(CLI::App& app, Outcome&) {
  auto options = std::make_shared<PlanOptions>();
  CLI::App* command =
      app.add_subcommand("plan", "Which spacings to read for an electrode, and which one next");
  command->add_option(
      "readings", options->sheet,
      "readings taken so far (a field book or sheet): asks which spacing next, or whether to stop");
  add_quantity(*command, "--depth", options->depth_m, Dimension::length,
               "deepest metal of the electrode; with readings, length of a rod");
  add_quantity(*command, "--extent", options->extent_m, Dimension::length,
               "greatest distance in plan, 0 for one rod");
  add_quantity(*command, "--land", options->land_m, Dimension::length,
               "longest straight line on which stakes may stand");
  add_quantity(*command, "--diameter", options->diameter_m, Dimension::length,
               "with readings: of the rod; else 16 mm");
  add_quantity(*command, "--error", options->error_ratio, Dimension::ratio,
               "one standard deviation of a reading to come; else 5 %");
  command
      ->add_option("--enough", options->enough_interval_ratio,
                   "upper over lower end of the rod's 90 % interval at which to stop")
      ->check(CLI::Range(1.0, 100.0))
      ->capture_default_str();
  command->add_option("--soil", options->soil, "a word for the soil, for the ranges of the readings");
  command->add_option("--site", options->site, "name of the site, for the sheet");
  command->add_option("--print", options->page, "write the sheet for the field (HTML, one A4 page)");
  command->add_flag("--overwrite", options->may_overwrite, "replace a sheet that is there");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot plan --depth \"6 m\" --land \"30 m\" --soil clay",
                   "ohmroot plan --depth \"6 m\" --land \"30 m\" --print build/home/plan.html --overwrite",
                   "ohmroot plan cli/demo/home/readings.csv --depth \"6 m\" --land \"60 m\" --json"}));
  command->callback([options] { run_plan(*options); });
}

}  // namespace ohmroot::cli
