// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <memory>

namespace ohmroot::cli {
namespace {

struct ElectrodeOptions {
  std::string input;
  std::string shape = "rod";
  std::optional<double> length_m;
  std::optional<double> diameter_m;
  std::optional<double> spacing_m;
  std::optional<double> width_m;
  std::optional<double> depth_m;
  std::optional<double> ring_diameter_m;
  std::optional<double> soil_ohm_m;
  std::optional<double> upper_soil_ohm_m;
  int rod_count = 2;
  int rods_per_side = 2;
  bool as_json = false;
};

double needed(const std::optional<double>& value, std::string_view option, const std::string& shape) {
  if (!value) throw CommandError(usage, fmt::format("electrode: the shape '{}' needs {}", shape, option));
  return *value;
}

electrode::Shape shape_of(const ElectrodeOptions& o) {
  const auto length_m = [&] { return needed(o.length_m, "--length", o.shape); };
  const auto diameter_m = [&] { return needed(o.diameter_m, "--diameter", o.shape); };
  const auto spacing_m = [&] { return needed(o.spacing_m, "--spacing", o.shape); };
  const auto depth_m = [&] { return needed(o.depth_m, "--depth", o.shape); };
  const auto rod = [&] { return electrode::Rod{length_m(), diameter_m()}; };
  if (o.shape == "rod") return rod();
  if (o.shape == "rods in line") return electrode::RodLine{rod(), o.rod_count, spacing_m()};
  if (o.shape == "rods in square") return electrode::RodSquare{rod(), o.rods_per_side, spacing_m()};
  if (o.shape == "rods in triangle") return electrode::RodTriangle{rod(), spacing_m()};
  if (o.shape == "tape") return electrode::Tape{length_m(), needed(o.width_m, "--width", o.shape), depth_m()};
  if (o.shape == "round conductor") return electrode::RoundConductor{length_m(), diameter_m(), depth_m()};
  return electrode::Ring{needed(o.ring_diameter_m, "--ring-diameter", o.shape), diameter_m(), depth_m()};
}

study::Site site_of(const ElectrodeOptions& options) {
  if (!options.input.empty()) {
    return read_site_document(options.input, {.soil = true, .loads = false, .candidates = true},
                              options.as_json);
  }
  if (!options.soil_ohm_m)
    throw CommandError(usage, "electrode: give --soil, as in --soil \"100 ohm m\", or --input");
  study::Site site;
  const double upper_ohm_m = options.upper_soil_ohm_m.value_or(*options.soil_ohm_m);
  if (upper_ohm_m < *options.soil_ohm_m)
    throw CommandError(usage, "electrode: --soil-to must not be below --soil");
  site.soil = study::SoilFromLayers{{{*options.soil_ohm_m, upper_ohm_m, 1.0}}, "typed on the command line"};
  site.candidates = {{"electrode", shape_of(options)}};
  return site;
}

void print_candidate(const study::CandidateResult& candidate, const study::SoilPicture& soil) {
  print(fmt::format("{}: {}\n", candidate.name, candidate.description));
  print(paragraph("Soil: " + soil.summary, 2));
  const Estimate& r = candidate.to_earth_ohm;
  print(fmt::format("  Resistance to earth: {} ({} to {})\n", format_quantity(r.value, Dimension::resistance),
                    format_quantity(r.least, Dimension::resistance),
                    format_quantity(r.greatest, Dimension::resistance)));
  print(paragraph("Basis: " + candidate.electrode_ohm.basis, 2));
  print(paragraph("To earth: " + r.basis, 2));
  std::vector<std::vector<std::string>> rows{
      {"formula", "R at the middle resistivity", "in its range", "truth / formula"}};
  const double middle_ohm_m =
      candidate.electrode_ohm.value / candidate.formulas.front().geometry_factor_per_m;
  for (const electrode::FormulaResult& f : candidate.formulas) {
    rows.push_back({std::string(f.formula->title),
                    format_quantity(f.geometry_factor_per_m * middle_ohm_m, Dimension::resistance, 4),
                    f.is_inside_valid_box ? "yes" : "no: " + f.outside_reason,
                    fmt::format("{} to {}", format_number(f.formula->least_truth_ratio, 3),
                                format_number(f.formula->greatest_truth_ratio, 3))});
  }
  print("\n" + table(rows) + "\n");
  for (const electrode::FormulaResult& f : candidate.formulas) {
    print(paragraph(fmt::format("{}: {}", f.formula->title, f.formula->expression), 2));
    print(paragraph(
        fmt::format("{}. Source: {}. Valid: {}.", f.formula->symbols, f.formula->source, f.formula->valid),
        4));
  }
  print("\n");
}

void run_electrode(const ElectrodeOptions& options, Outcome&) {
  const study::Site site = site_of(options);
  const study::SoilPicture soil = study::soil_picture(site);
  text::Array documents;
  for (const study::Candidate& candidate : site.candidates) {
    const study::CandidateResult result = study::candidate_resistance(site, soil, candidate);
    if (options.as_json)
      documents.push_back(report::candidate_document(result));
    else
      print_candidate(result, soil);
  }
  if (!options.as_json) return;
  text::Value document;
  document.set("soil", report::soil_document(soil));
  document.set("candidates", std::move(documents));
  print(text::write_json(document));
}

}  // namespace

void add_electrode(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<ElectrodeOptions>();
  CLI::App* command = app.add_subcommand(
      "electrode", "Resistance to earth of an electrode by published formulas, with their own error");
  command->add_option("--shape", options->shape, "what it is")
      ->check(CLI::IsMember(
          {"rod", "rods in line", "rods in square", "rods in triangle", "tape", "round conductor", "ring"}));
  add_quantity(*command, "--length", options->length_m, Dimension::length,
               "of each rod, of the tape or the conductor");
  add_quantity(*command, "--diameter", options->diameter_m, Dimension::length, "of the rod or the conductor");
  command->add_option("--rods", options->rod_count, "in line: how many")->check(CLI::Range(2, 1000));
  command->add_option("--rods-per-side", options->rods_per_side, "in square: on each side, corners counted")
      ->check(CLI::Range(2, 250));
  add_quantity(*command, "--spacing", options->spacing_m, Dimension::length, "between neighbouring rods");
  add_quantity(*command, "--width", options->width_m, Dimension::length, "of the tape");
  add_quantity(*command, "--depth", options->depth_m, Dimension::length,
               "of the centre of tape, conductor or ring");
  add_quantity(*command, "--ring-diameter", options->ring_diameter_m, Dimension::length, "of the ring");
  add_quantity(*command, "--soil", options->soil_ohm_m, Dimension::resistivity,
               "resistivity of uniform soil");
  add_quantity(*command, "--soil-to", options->upper_soil_ohm_m, Dimension::resistivity,
               "upper end, where --soil is the lower");
  command->add_option(
      "--input", options->input,
      "a site document (TOML, or JSON with SI keys) in place of options; '-' for standard input");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot electrode --length \"2.4 m\" --diameter \"16 mm\" --soil \"100 ohm m\"",
                   "ohmroot electrode --shape \"rods in line\" --rods 4 --length \"3 m\" --diameter \"16 "
                   "mm\" --spacing \"3 m\" --soil \"100 ohm m\"",
                   "ohmroot electrode --input cli/demo/workshop/site.toml --json"}));
  command->callback([options, &outcome] { run_electrode(*options, outcome); });
}

}  // namespace ohmroot::cli
