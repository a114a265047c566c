// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/report/json.hpp>
#include <ohmroot/report/page.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <iostream>
#include <memory>
#include <plots/figure.hpp>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

struct StudyOptions {
  std::string site;
  std::string folder;
  bool as_json = false;
  bool overwrites = false;
  bool without_figures = false;
  bool shows_keys = false;
};

constexpr std::array<const char*, 2> output_names{"report.html", "results.json"};

/// The folder to write into; a record that is already there is not overwritten unasked.
void prepare_folder(const StudyOptions& options) {
  std::error_code failed;
  fs::create_directories(options.folder, failed);
  if (failed || !fs::is_directory(options.folder)) {
    throw CommandError(cannot_create,
                       fmt::format("{}: cannot be created: {}", options.folder, failed.message()));
  }
  if (options.overwrites) return;
  for (const char* name : output_names) {
    if (fs::exists(fs::path(options.folder) / name)) {
      throw CommandError(cannot_create,
                         fmt::format("{}/{}: is already there; choose another folder, or --overwrite",
                                     options.folder, name));
    }
  }
}

std::vector<report::Figure> draw_figures(const study::StudyResult& result, bool without_figures,
                                         std::vector<std::string>& warnings) {
  std::vector<report::Figure> figures;
  for (auto* figure_of :
       {plots::sounding_figure, plots::section_figure, plots::resistance_figure, plots::distribution_figure,
        plots::floor_figure, plots::leakage_figure, plots::voltage_figure, plots::surface_figure,
        plots::depth_figure, plots::heating_figure, plots::separation_figure}) {
    const auto script = figure_of(result);
    if (!script) continue;
    report::Figure figure{script->id, script->caption, script->alt_text, "", "left out as asked"};
    if (!without_figures) {
      const plots::Rendering rendering = plots::render_svg(*script);
      figure.svg = rendering.svg;
      figure.missing_because = rendering.why;
      if (rendering.status != plots::RenderStatus::drawn) {
        warnings.push_back(fmt::format("figure '{}' is missing: {}", script->id, rendering.why));
      }
    }
    figures.push_back(std::move(figure));
  }
  return figures;
}

std::string separation_text(const study::SeparationResult& separation) {
  std::string text = "\nSeparation from the PME earth\n";
  if (separation.transfer) text += bullet(separation.transfer->finding);
  if (separation.curve && separation.curve->at_level) text += bullet(separation.curve->at_level->sentence);
  if (!separation.refusal.empty()) text += bullet("not computed: " + separation.refusal);
  for (const routes::ReachFinding& finding : separation.reach)
    text += bullet(finding.sentence);
  return text;
}

std::string summary_text(const study::StudyResult& result) {
  std::string text = fmt::format("Verdict: {}\n", study::verdict_name(result.verdict));
  text += paragraph(result.headline, 2) + paragraph(result.rests_on, 2) + '\n';
  if (result.soil.evidence != study::Evidence::none) text += paragraph("Soil: " + result.soil.summary);
  std::vector<std::vector<std::string>> rows{{"electrode", "to earth, worst season", "verdict"}};
  const auto ohms = [](double v) {
    return std::isinf(v) ? std::string("no upper end") : format_quantity(v, Dimension::resistance);
  };
  for (const study::CandidateResult& c : result.candidates) {
    rows.push_back({c.name,
                    fmt::format("{} ({} to {})", ohms(c.to_earth_ohm.value), ohms(c.to_earth_ohm.least),
                                ohms(c.to_earth_ohm.greatest)),
                    study::verdict_name(c.verdict)});
  }
  text += "\n" + table(rows);
  text += "\nHolds for\n";
  for (const std::string& line : result.holds_for)
    text += bullet(line);
  if (result.floor) text += "\n" + paragraph("Floor: " + result.floor->why);
  if (result.nearby && result.nearby->refusal.empty())
    text += "\n" + paragraph("Metal near it: " + result.nearby->finding + ".");
  if (result.heating) text += "\n" + paragraph("With the PEN open: " + result.heating->finding);
  text += "\nNext\n";
  for (const std::string& line : result.next_steps)
    text += bullet(line);
  if (result.separation) text += separation_text(*result.separation);
  text += "\nOther permitted routes\n";
  for (const routes::MethodRecord& method : result.methods) {
    text +=
        bullet(fmt::format("{}: {}: {}", method.title, routes::support_name(method.support), method.finding));
  }
  text += "\n" + paragraph(result.cautions.front());
  return text;
}

void run_study(const StudyOptions& options, Outcome& outcome) {
  if (options.shows_keys) return print(study::site_file_keys());
  if (options.site.empty())
    throw CommandError(usage, "study: name a site file; 'ohmroot study --keys' lists what it may hold");
  if (options.folder.empty() && !options.as_json) {
    throw CommandError(usage, "study: give -o FOLDER for the report, or --json for the numbers alone");
  }
  if (!options.folder.empty()) prepare_folder(options);
  study::StudyResult result = study::assess(read_site_document(options.site, {}, options.as_json));
  outcome.exit_code = study::exit_code(result.verdict);

  std::vector<std::string> warnings;
  std::vector<report::Figure> figures;
  if (!options.folder.empty()) {
    figures = draw_figures(result, options.without_figures, warnings);
    for (const std::string& warning : warnings) {
      std::cerr << "ohmroot: warning: " << warning << '\n';
      result.warnings.push_back({Severity::warning, "", {}, "figure-missing", warning, ""});
    }
  }
  const std::string document = text::write_json(report::study_document(result));
  if (!options.folder.empty()) {
    const fs::path folder(options.folder);
    for (const report::Figure& figure : figures) {
      if (!figure.svg.empty()) write_file((folder / (figure.id + ".svg")).string(), figure.svg);
    }
    write_file((folder / "results.json").string(), document);
    write_file((folder / "report.html").string(), report::study_page(result, figures));
  }
  if (options.as_json) return print(document);
  print(summary_text(result));
  print(fmt::format("\nWritten: {0}/report.html and {0}/results.json\n", options.folder));
}

}  // namespace

void add_study(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<StudyOptions>();
  CLI::App* command =
      app.add_subcommand("study", "The whole job for one site: verdict, report page, figures, results.json");
  command->add_option("site", options->site,
                      "site file (TOML, or JSON with SI keys); '-' for standard input");
  command->add_option("-o,--output", options->folder, "folder for report.html, results.json and the figures");
  command->add_flag("--overwrite", options->overwrites, "replace a report that is already in the folder");
  command->add_flag("--no-figures", options->without_figures, "leave the figures out");
  command->add_flag("--keys", options->shows_keys,
                    "list every key of a site file with unit, range and default, and exit");
  command->add_flag("--json", options->as_json, "print results.json on standard output");
  command->footer(help_footer({"ohmroot study cli/demo/home/site.toml -o build/home --overwrite",
                               "ohmroot study cli/demo/workshop/site.toml --json", "ohmroot study --keys"}));
  command->callback([options, &outcome] { run_study(*options, outcome); });
}

}  // namespace ohmroot::cli
