// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <limits>
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
  std::optional<double> breadth_m;
  std::optional<double> soil_ohm_m;
  std::optional<double> upper_soil_ohm_m;
  std::vector<std::string> layers;
  int rod_count = 2;
  int rods_per_side = 2;
  bool is_upright = false;
  int meshes_along = 1;
  int meshes_across = 1;
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
  if (o.shape == "mesh")
    return electrode::Mesh{{length_m(), o.meshes_along},
                           {needed(o.breadth_m, "--breadth", o.shape), o.meshes_across},
                           depth_m(),
                           diameter_m() / 2.0};
  if (o.shape == "plate")
    return electrode::RectangularPlate{length_m(), needed(o.breadth_m, "--breadth", o.shape), depth_m(),
                                       o.is_upright ? electrode::PlateAttitude::vertical
                                                    : electrode::PlateAttitude::horizontal};
  return electrode::Ring{needed(o.ring_diameter_m, "--ring-diameter", o.shape), diameter_m(), depth_m()};
}

/// "100 ohm m, 2 m" is a layer, "100 ohm m" the last one.
study::StatedLayer layer_of(const std::string& text, bool is_last) {
  const std::size_t comma = text.find(',');
  const auto part = [&](std::string_view words, Dimension dimension) {
    const ParsedQuantity parsed = parse_quantity(words, dimension);
    if (parsed.si_value && *parsed.si_value > 0) return *parsed.si_value;
    throw CommandError(
        usage,
        fmt::format("electrode: '{}' is no layer; write --layer \"100 ohm m, 2 m\" for each layer from "
                    "the top, and the last one without a thickness",
                    text));
  };
  const std::string_view words = text;
  if (is_last == (comma != std::string::npos))
    throw CommandError(usage, is_last
                                  ? "electrode: the last --layer reaches down without end, give no thickness"
                                  : fmt::format("electrode: layer '{}' needs a thickness, as in "
                                                "--layer \"100 ohm m, 2 m\"",
                                                text));
  const double resistivity_ohm_m = part(words.substr(0, comma), Dimension::resistivity);
  const double thickness_m =
      is_last ? std::numeric_limits<double>::infinity() : part(words.substr(comma + 1), Dimension::length);
  return {resistivity_ohm_m, resistivity_ohm_m, thickness_m};
}

study::SoilFromLayers soil_of(const ElectrodeOptions& options) {
  study::SoilFromLayers soil{{}, "typed on the command line"};
  for (std::size_t i = 0; i < options.layers.size(); ++i)
    soil.layers.push_back(layer_of(options.layers[i], i + 1 == options.layers.size()));
  if (!soil.layers.empty()) return soil;
  if (!options.soil_ohm_m)
    throw CommandError(usage, "electrode: give --soil, as in --soil \"100 ohm m\", or --layer, or --input");
  const double upper_ohm_m = options.upper_soil_ohm_m.value_or(*options.soil_ohm_m);
  if (upper_ohm_m < *options.soil_ohm_m)
    throw CommandError(usage, "electrode: --soil-to must not be below --soil");
  soil.layers.push_back({*options.soil_ohm_m, upper_ohm_m, 1.0});
  return soil;
}

study::Site site_of(const ElectrodeOptions& options) {
  if (!options.input.empty()) {
    return read_site_document(options.input, {.soil = true, .loads = false, .candidates = true},
                              options.as_json);
  }
  study::Site site;
  site.soil = soil_of(options);
  site.candidates = {{"electrode", shape_of(options)}};
  return site;
}

/// Field solution and formulas side by side, in the uniform soil that is equivalent for this electrode.
void print_side_by_side(const study::CandidateResult& candidate) {
  const double equivalent_ohm_m =
      candidate.field ? candidate.field->equivalent_resistivity_ohm_m
                      : candidate.electrode_ohm.value / candidate.formulas.front().geometry_factor_per_m;
  std::vector<std::vector<std::string>> rows{
      {"in uniform soil of " + format_quantity(equivalent_ohm_m, Dimension::resistivity, 4), "R",
       "against the field", "in its range", "truth / formula"}};
  if (candidate.field) {
    rows.push_back({"field solution", format_quantity(candidate.field->middle_ohm, Dimension::resistance, 4),
                    "-", "-",
                    fmt::format("within {} % by its own estimate",
                                format_number(100 * candidate.field->estimate_ratio, 1))});
  }
  for (const electrode::FormulaResult& f : candidate.formulas) {
    rows.push_back({std::string(f.formula->title),
                    format_quantity(f.geometry_factor_per_m * equivalent_ohm_m, Dimension::resistance, 4),
                    candidate.field ? format_signed_percent(
                                          f.geometry_factor_per_m / candidate.field->uniform_factor_per_m - 1)
                                    : "-",
                    f.is_inside_valid_box ? "yes" : "no: " + f.outside_reason,
                    fmt::format("{} to {}", format_number(f.formula->least_truth_ratio, 3),
                                format_number(f.formula->greatest_truth_ratio, 3))});
  }
  print("\n" + table(rows) + "\n");
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
  if (candidate.field) print(paragraph("Formula beside it: " + candidate.field->comparison, 2));
  print_side_by_side(candidate);
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
      "electrode",
      "Resistance to earth of an electrode by the field solution and by published formulas, side by side");
  command->add_option("--shape", options->shape, "what it is")
      ->check(CLI::IsMember({"rod", "rods in line", "rods in square", "rods in triangle", "tape",
                             "round conductor", "ring", "mesh", "plate"}));
  add_quantity(*command, "--length", options->length_m, Dimension::length,
               "of each rod, of the tape, the conductor, the mesh or the plate");
  add_quantity(*command, "--diameter", options->diameter_m, Dimension::length,
               "of the rod, or of the conductor");
  command->add_option("--rods", options->rod_count, "in line: how many")->check(CLI::Range(2, 1000));
  command->add_option("--rods-per-side", options->rods_per_side, "in square: on each side, corners counted")
      ->check(CLI::Range(2, 250));
  add_quantity(*command, "--spacing", options->spacing_m, Dimension::length, "between neighbouring rods");
  add_quantity(*command, "--width", options->width_m, Dimension::length, "of the tape");
  add_quantity(*command, "--depth", options->depth_m, Dimension::length,
               "of the centre of tape, conductor, ring, mesh or plate");
  add_quantity(*command, "--ring-diameter", options->ring_diameter_m, Dimension::length, "of the ring");
  add_quantity(*command, "--breadth", options->breadth_m, Dimension::length,
               "of the mesh or plate, across its length; of an upright plate its height");
  command->add_flag("--upright", options->is_upright, "the plate stands");
  command->add_option("--meshes-along", options->meshes_along, "of the mesh, along its length")
      ->check(CLI::Range(1, 40));
  command->add_option("--meshes-across", options->meshes_across, "of the mesh, along its breadth")
      ->check(CLI::Range(1, 40));
  add_quantity(*command, "--soil", options->soil_ohm_m, Dimension::resistivity,
               "resistivity of uniform soil");
  add_quantity(*command, "--soil-to", options->upper_soil_ohm_m, Dimension::resistivity,
               "upper end, where --soil is the lower");
  command
      ->add_option("--layer", options->layers,
                   "a layer from the top, as \"100 ohm m, 2 m\"; once for each, the last without thickness")
      ->excludes("--soil");
  command->add_option(
      "--input", options->input,
      "a site document (TOML, or JSON with SI keys) in place of options; '-' for standard input");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(help_footer(
      {"ohmroot electrode --length \"2.4 m\" --diameter \"16 mm\" --soil \"100 ohm m\"",
       "ohmroot electrode --shape \"rods in line\" --rods 4 --length \"3 m\" --diameter \"16 "
       "mm\" --spacing \"3 m\" --soil \"100 ohm m\"",
       "ohmroot electrode --shape mesh --length \"8 m\" --breadth \"5 m\" --meshes-along 4 --meshes-across 2 "
       "--diameter \"10 mm\" --depth \"0.6 m\" --soil \"100 ohm m\"",
       "ohmroot electrode --length \"2.4 m\" --diameter \"16 mm\" --layer \"300 ohm m, 1.5 m\" --layer "
       "\"60 ohm m\"",
       "ohmroot electrode --input cli/demo/workshop/site.toml --json"}));
  command->callback([options, &outcome] { run_electrode(*options, outcome); });
}

}  // namespace ohmroot::cli
