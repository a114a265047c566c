// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/report/json.hpp>
#include <ohmroot/report/route_page.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <memory>
#include <plots/figure.hpp>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

struct RoutesOptions {
  std::string site;
  std::string folder;
  bool as_json = false;
  bool overwrites = false;
  bool without_figures = false;
};

int exit_code_of(study::RouteOutcome outcome) {
  return outcome == study::RouteOutcome::settled ? met
         : outcome == study::RouteOutcome::open  ? undecided
                                                 : not_met;
}

std::string decision_word(const study::RouteRecord& route) {
  return !route.decision ? "not decided" : route.decision->is_accepted ? "accepted" : "rejected";
}

std::string text_of(const study::StudyResult& result) {
  const study::RoutesResult& routes = result.routes;
  std::string text = paragraph("Methods: " + routes.sentence);
  const bool is_nothing_decided = std::none_of(routes.records.begin(), routes.records.end(),
                                               [](const auto& route) { return route.decision.has_value(); });
  if (is_nothing_decided)
    text += paragraph("Write down what you decide under [[route_decisions]] of the site file.", 2);
  std::vector<std::vector<std::string>> rows{{"method", "the data", "decision", "cost"}};
  for (const study::RouteRecord& route : routes.records)
    rows.push_back({std::string(routes::method_word(route.record.method)),
                    std::string(routes::support_name(route.record.support)), decision_word(route),
                    route.cost.total
                        ? fmt::format("{:.0f} {}", *route.cost.total, result.site.routes.prices->currency)
                        : "not known"});
  text += "\n" + table(rows) + "\n";
  for (const study::RouteRecord& route : routes.records) {
    text += fmt::format("{}\n", routes::method_word(route.record.method));
    text += bullet(route.record.finding);
    text += bullet("would decide: " + route.record.next_step);
    text += bullet("protects " + route.protects);
    if (!route.cost.total) text += bullet(route.cost.sentence);
    if (!route.conflict.empty()) text += bullet(route.conflict);
  }
  if (!routes.conductor_sentence.empty()) text += "\n" + paragraph(routes.conductor_sentence);
  text += headed_list("The kind of place", routes.places);
  text += headed_list("Ticks that the plan contradicts", routes.bridging.at_odds);
  text += headed_list("Bridging checks not done", routes.bridging.not_checked);
  text += headed_list("Questions about the place without an answer", routes.open_places);
  text += headed_list("Clauses that the licensed copy does not bear out", routes.denied_clauses);
  if (!routes.open_clauses.empty())
    text += fmt::format("\n{} clauses are not looked up in a licensed copy ([register]).\n",
                        routes.open_clauses.size());
  return text + "\n" + paragraph(result.cautions.front());
}

std::vector<report::Figure> draw(const study::StudyResult& result, const RoutesOptions& options) {
  std::vector<report::Figure> figures;
  for (auto* figure_of : {plots::blind_region_figure, plots::separation_figure}) {
    const auto script = figure_of(result);
    if (!script) continue;
    report::Figure figure{script->id, script->caption, script->alt_text, "", "left out as asked"};
    if (!options.without_figures) {
      const plots::Rendering rendering = plots::render_svg(*script);
      figure.svg = rendering.svg;
      figure.missing_because = rendering.why;
      if (rendering.status != plots::RenderStatus::drawn)
        std::cerr << "ohmroot: warning: figure '" << script->id << "' is missing: " << rendering.why << '\n';
    }
    figures.push_back(std::move(figure));
  }
  return figures;
}

void write_pages(const study::StudyResult& result, const RoutesOptions& options) {
  std::error_code failed;
  fs::create_directories(options.folder, failed);
  const fs::path folder(options.folder);
  if (failed || !fs::is_directory(folder))
    throw CommandError(cannot_create,
                       fmt::format("{}: cannot be created: {}", options.folder, failed.message()));
  if (!options.overwrites && fs::exists(folder / "methods.html"))
    throw CommandError(cannot_create,
                       fmt::format("{}/methods.html: is already there; choose another folder, or --overwrite",
                                   options.folder));
  const std::vector<report::Figure> figures = draw(result, options);
  for (const report::Figure& figure : figures) {
    if (!figure.svg.empty()) write_file((folder / (figure.id + ".svg")).string(), figure.svg);
  }
  write_file((folder / "methods.html").string(), report::route_page(result, figures));
}

void run_routes(const RoutesOptions& options, Outcome& outcome) {
  const study::StudyResult result = study::assess(read_site_document(options.site, {}, options.as_json));
  outcome.exit_code = exit_code_of(result.routes.outcome);
  if (!options.folder.empty()) write_pages(result, options);
  if (options.as_json) return print(text::write_json(*report::study_document(result).find("route_record")));
  print(text_of(result));
  if (!options.folder.empty()) print(fmt::format("\nWritten: {}/methods.html\n", options.folder));
}

}  // namespace

void add_routes(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<RoutesOptions>();
  CLI::App* command = app.add_subcommand(
      "routes",
      "Every permitted method: what the data say, cost, decision, and the document that justifies TT");
  command->add_option("site", options->site, "site file, or results.json of a study")->required();
  command->add_option("-o,--output", options->folder, "folder for methods.html and its figures");
  command->add_flag("--overwrite", options->overwrites, "replace a document that is already in the folder");
  command->add_flag("--no-figures", options->without_figures, "leave the figures out");
  command->add_flag("--json", options->as_json, "print the record as JSON");
  command->footer(
      "\nExit code: 0 a method is accepted and the data carry it; 2 nothing is accepted, or it cannot be "
      "decided;\n1 what is accepted is contradicted, or every method is.\n" +
      help_footer({"ohmroot routes cli/demo/terrace/site.toml -o build/home --overwrite",
                   "ohmroot routes cli/demo/depot/site.toml"}));
  command->callback([options, &outcome] { run_routes(*options, outcome); });
}

}  // namespace ohmroot::cli
