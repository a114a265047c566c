// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/quantile.hpp>
#include <ohmroot/report/design_json.hpp>
#include <ohmroot/study/rules.hpp>
#include <ohmroot/study/site_design.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <filesystem>
#include <iostream>
#include <memory>
#include <plots/design_figures.hpp>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

struct DesignCommand {
  std::string site;
  std::string folder;
  bool as_json = false;
  bool overwrites = false;
};

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

std::string volts(double value_v) {
  return format_quantity(value_v, Dimension::voltage);
}

std::string places_text(const design::Arrangement& arrangement) {
  std::string text;
  const char* start = design::has_rods(arrangement) ? "rods at " : "plates at ";
  for (const design::PlanPoint& place : arrangement.places)
    text += fmt::format("{}({:.2f}, {:.2f})", text.empty() ? start : ", ", place.x_m, place.y_m);
  return text.empty() ? text : text + " m";
}

std::string ways_text(const design::Arrangement& arrangement) {
  std::string text;
  for (const design::PlanLine& way : arrangement.ways)
    text += fmt::format("{}({:.2f}, {:.2f}) to ({:.2f}, {:.2f})", text.empty() ? "" : ", ", way.from.x_m,
                        way.from.y_m, way.to.x_m, way.to.y_m);
  return fmt::format("trench with {}: {} m", arrangement.is_tape ? "bare tape" : "insulated conductor", text);
}

std::string designs_table(const study::DesignResult& result) {
  const auto row = [&](const char* role, const design::Design& design) {
    return std::vector<std::string>{role, design::describe(design.arrangement, result.question.parts),
                                    format_number(design.cost, 4), ohms(design.value_ohm)};
  };
  std::vector<std::vector<std::string>> rows{
      {"", "electrode", "cost, " + result.question.prices.currency, "worst season"}};
  if (result.search.best) rows.push_back(row("design", *result.search.best));
  for (const design::Design& other : result.search.others)
    rows.push_back(row("other kind", other));
  if (result.search.lowest) rows.push_back(row("lowest", *result.search.lowest));
  return table(rows);
}

std::string rods_table(const study::DesignResult& result) {
  std::vector<std::vector<std::string>> rows{{"rods", "lowest found", "gain"}};
  double before_ohm = 0.0;
  for (const design::Design& design : result.search.by_rod_count) {
    rows.push_back({fmt::format("{}", design.arrangement.places.size()), ohms(design.value_ohm),
                    before_ohm > 0 ? ohms(before_ohm - design.value_ohm) : "-"});
    before_ohm = design.value_ohm;
  }
  return table(rows);
}

std::string result_text(const study::DesignResult& result) {
  std::string text = paragraph(result.headline) + "\n";
  if (result.search.best) {
    const design::Arrangement& arrangement = result.search.best->arrangement;
    if (!arrangement.places.empty()) text += paragraph(places_text(arrangement));
    if (!arrangement.ways.empty()) text += paragraph(ways_text(arrangement));
    text += "\n";
  }
  text += designs_table(result);
  if (const auto& check = result.search.check)
    text +=
        "\n" +
        paragraph(fmt::format(
            "Check by the field solution: {} of {} states of the ground met, at least {} % with 95 % "
            "confidence (standard error {} %); {}.",
            check->met_count, check->worst_season_ohm.size(),
            format_number(100 * check->lower_limit_ratio, 4),
            format_number(100 * check->standard_error_ratio, 2), check->is_passed ? "passed" : "not passed"));
  if (!result.met_v.empty())
    text +=
        "\n" +
        paragraph(fmt::format("MET to true earth with the PEN open, worst season: {} in the middle, {} to {} "
                              "in nine tenths of those states ({}).",
                              volts(quantile(result.met_v, 0.5)), volts(quantile(result.met_v, 0.05)),
                              volts(quantile(result.met_v, 0.95)), result.load_description));
  if (result.acceptance && result.acceptance->accept_below_ohm)
    text +=
        "\n" + paragraph(fmt::format("Accept the finished electrode if its test in {} reads at most {} ({}).",
                                     result.month_of_measurement, ohms(*result.acceptance->accept_below_ohm),
                                     result.acceptance->expression));
  if (result.over_time)
    text += headed_list("While the PEN stays open, in the middle state of the ground",
                        result.over_time->sentences);
  if (result.testability) text += "\n" + paragraph(result.testability->sentence + ".");
  for (std::size_t i = 0; i < result.others_testability.size(); ++i)
    text += bullet("other kind " + std::to_string(i + 1) + ": " + result.others_testability[i] + ".");
  text += headed_list("The permitted methods, by your prices", result.route_prices);
  if (result.search.by_rod_count.size() > 1) text += "\nWhat each rod buys\n" + rods_table(result);
  if (!result.search.sensitivities.empty()) {
    text += "\nLeast cost if one input moves\n";
    for (const design::Sensitivity& sensitivity : result.search.sensitivities)
      text +=
          bullet(fmt::format("{}: {}", sensitivity.input,
                             sensitivity.cost ? format_number(*sensitivity.cost, 4) : "none tried would do"));
  }
  text += "\n" + paragraph("Floor: " + result.proof.sentence);
  if (!result.changes.empty()) {
    text += "\nWhat would have to change\n";
    for (const std::string& change : result.changes)
      text += bullet(change);
  }
  text += "\nTried: " + paragraph(result.search.how) + "Taken to hold\n";
  for (const std::string& assumption : result.assumptions)
    text += bullet(assumption);
  text += "\nBefore anybody digs or tests\n";
  for (const std::string& caution : study::cautions())
    text += bullet(caution);
  return text;
}

/// Before minutes are spent on what could not be written.
void prepare_output(const DesignCommand& options) {
  const fs::path folder(options.folder);
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed || !fs::is_directory(folder))
    throw CommandError(cannot_create,
                       fmt::format("{}: cannot be created: {}", options.folder, failed.message()));
  if (!options.overwrites && fs::exists(folder / "design.json"))
    throw CommandError(cannot_create,
                       fmt::format("{}/design.json: is already there; choose another folder, or --overwrite",
                                   options.folder));
}

void write_output(const DesignCommand& options, const study::DesignResult& result,
                  const std::string& document) {
  const fs::path folder(options.folder);
  write_file((folder / "design.json").string(), document);
  for (auto* figure_of : {plots::plan_figure, plots::front_figure, plots::design_distribution_figure}) {
    const auto script = figure_of(result);
    if (!script) continue;
    const plots::Rendering rendering = plots::render_svg(*script);
    if (rendering.status == plots::RenderStatus::drawn)
      write_file((folder / (script->id + ".svg")).string(), rendering.svg);
    else
      std::cerr << "ohmroot: warning: figure '" << script->id << "' is missing: " << rendering.why << '\n';
  }
}

void run_design(const DesignCommand& options, Outcome& outcome) {
  if (options.site.empty())
    throw CommandError(usage, "design: name a site file; 'ohmroot study --keys' lists what it may hold");
  const study::Site site =
      read_site_document(options.site, {.soil = true, .loads = true, .candidates = false}, options.as_json);
  if (!options.folder.empty()) prepare_output(options);
  const study::DesignResult result = study::design_electrode(site);
  outcome.exit_code = study::exit_code(result.verdict);
  const std::string document = text::write_json(report::design_document(result));
  if (!options.folder.empty()) write_output(options, result, document);
  print(options.as_json ? document : result_text(result));
}

}  // namespace

void add_design(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<DesignCommand>();
  CLI::App* command = app.add_subcommand(
      "design", "The cheapest electrode on this land that will do, or the proof that none can");
  command->add_option("site", options->site,
                      "site file with [land], [season], loads and [design] (TOML, or JSON with SI keys)");
  command->add_option("-o,--output", options->folder, "folder for design.json and the figures");
  command->add_flag("--overwrite", options->overwrites, "replace what is already in the folder");
  command->add_flag("--json", options->as_json, "print design.json on standard output");
  command->footer(help_footer({"ohmroot design cli/demo/garden/site.toml"}));
  command->callback([options, &outcome] { run_design(*options, outcome); });
}

}  // namespace ohmroot::cli
