// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/report/json.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <memory>

namespace ohmroot::cli {
namespace {

struct ReadingsOptions {
  std::string sheet;
  std::string input;
  std::string array;
  std::string contact = "bare";
  std::string depth_rule = "effective";
  std::optional<double> stake_depth_m;
  std::optional<double> error_ratio;
  bool as_json = false;
};

sounding::SheetDefaults defaults_of(const ReadingsOptions& options) {
  sounding::SheetDefaults defaults;
  if (options.array == "wenner") defaults.array = sounding::Array::wenner;
  if (options.array == "schlumberger") defaults.array = sounding::Array::schlumberger;
  defaults.driven_depth_m = options.stake_depth_m.value_or(0.0);
  defaults.contact =
      options.contact == "insulated" ? sounding::StakeContact::insulated : sounding::StakeContact::bare;
  defaults.relative_error_ratio = options.error_ratio.value_or(defaults.relative_error_ratio);
  return defaults;
}

/// The readings as a site of their own, from a sheet or from a document.
study::Site site_of(const ReadingsOptions& options) {
  if (!options.input.empty()) {
    return read_site_document(options.input, {.soil = true, .loads = false, .candidates = false},
                              options.as_json);
  }
  Diagnostics diagnostics(options.sheet);
  study::SoilFromReadings source;
  source.file = {options.sheet};
  source.sheet = {sounding::read_field_sheet(read_input(options.sheet), defaults_of(options), diagnostics)};
  report_diagnostics(diagnostics, options.as_json);
  source.rods = source.sheet.front().rods;
  if (source.sheet.front().readings.empty())
    throw CommandError(bad_data,
                       "readings: the sheet holds driven rods only; a sounding needs four-pole readings");
  study::Site site;
  site.soil = std::move(source);
  return site;
}

std::string interval_text(const sounding::ParameterInterval& p, Dimension dimension) {
  const auto end = [&](double value, bool is_resolved) {
    return is_resolved ? format_quantity(value, dimension) : std::string("not resolved");
  };
  return fmt::format("{} ({} to {})", format_quantity(p.value, dimension), end(p.least, p.is_least_resolved),
                     end(p.greatest, p.is_greatest_resolved));
}

void print_readings(const study::SoilPicture& soil, sounding::StakeDepthRule rule) {
  std::vector<std::vector<std::string>> rows{
      {"line", "array", "spacing", "MN/2", "R", "rho_a", "fit - reading"}};
  const auto& fit = soil.interpretation->chosen();
  for (std::size_t i = 0; i < soil.readings.size(); ++i) {
    const sounding::FourPoleReading& reading = soil.readings[i];
    rows.push_back(
        {reading.sheet_line > 0 ? std::to_string(reading.sheet_line) : "-",
         std::string(study::array_word(reading.array)),
         format_quantity(sounding::plotted_spacing_m(reading), Dimension::length),
         format_quantity(reading.half_potential_spacing_m, Dimension::length),
         format_quantity(reading.resistance_ohm, Dimension::resistance),
         format_quantity(sounding::apparent_resistivity_ohm_m(reading, rule), Dimension::resistivity),
         fmt::format("{:+.1f} %", -100 * fit.residual_ratio.at(i))});
  }
  print("Readings (spacing: a for Wenner, AB/2 for Schlumberger)\n" + table(rows) + "\n");
}

void print_fit(const sounding::Interpretation& interpretation) {
  print("\nSoil model\n");
  for (const sounding::SoilFit& fit : interpretation.fits) {
    const bool is_chosen = fit.layer_count == interpretation.chosen_layer_count;
    print(fmt::format("  {} layer{}{}: misfit {} %, chi-square {} on {} degrees of freedom\n",
                      fit.layer_count, fit.layer_count == 1 ? "" : "s", is_chosen ? " (chosen)" : "",
                      format_number(100 * fit.misfit_ratio, 2), format_number(fit.chi_square_ratio, 2),
                      fit.freedom_count));
    for (std::size_t i = 0; i < fit.resistivity_ohm_m.size(); ++i) {
      print(fmt::format("    layer {}: {}", i + 1,
                        interval_text(fit.resistivity_ohm_m[i], Dimension::resistivity)));
      if (i < fit.thickness_m.size()) {
        print(fmt::format(", thickness {}", interval_text(fit.thickness_m[i], Dimension::length)));
      }
      print("\n");
    }
    if (!fit.why.empty()) print(paragraph(fit.why, 4));
  }
  print(paragraph(interpretation.why_chosen, 2));
  print(paragraph("Objective: " + interpretation.objective + ". Intervals: 90 %, profile likelihood.", 2));
}

void run_readings(const ReadingsOptions& options, Outcome& outcome) {
  if (options.sheet.empty() == options.input.empty()) {
    throw CommandError(usage, "readings: give either a field sheet or --input with a document");
  }
  const study::Site site = site_of(options);
  const auto* source = site.soil ? std::get_if<study::SoilFromReadings>(&*site.soil) : nullptr;
  if (source == nullptr) throw CommandError(bad_data, "readings: the document's [soil] holds no readings");
  const auto rule = options.depth_rule == "handbook" ? sounding::StakeDepthRule::handbook
                                                     : sounding::StakeDepthRule::effective_point;
  const study::SoilPicture soil = study::soil_picture(site, rule);
  outcome.exit_code = soil.doubts.empty() ? met : not_met;
  if (options.as_json) {
    text::Value document = report::soil_document(soil);
    document.set("stake_depth_rule", options.depth_rule);
    print(text::write_json(document));
    return;
  }
  for (const std::string& note : soil.notes)
    print(paragraph(note));
  print_readings(soil, rule);
  for (const sounding::SkippedRow& skipped : soil.skipped) {
    print(paragraph(fmt::format("Line {} gave no reading: {}", skipped.line, skipped.why), 2));
  }
  if (soil.doubts.empty()) {
    print("\nNo reading stands out against its neighbours.\n");
  } else {
    print("\nDoubtful\n");
    for (const sounding::ReadingDoubt& doubt : soil.doubts)
      print(bullet(doubt.sentence));
  }
  print_fit(*soil.interpretation);
}

}  // namespace

void add_readings(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<ReadingsOptions>();
  CLI::App* command = app.add_subcommand("readings", "Judge four-pole readings and fit the soil under them");
  command->add_option("sheet", options->sheet, "field sheet (CSV), '-' for standard input");
  command->add_option(
      "--input", options->input,
      "a site document (TOML, or JSON with SI keys) in place of a sheet; '-' for standard input");
  command->add_option("--array", options->array, "order of the stakes, where the sheet does not say")
      ->check(CLI::IsMember({"wenner", "schlumberger"}));
  add_quantity(*command, "--stake-depth", options->stake_depth_m, Dimension::length,
               "driven depth of the stakes");
  command->add_option("--stake-contact", options->contact, "bare stakes, or insulated down to the tip")
      ->check(CLI::IsMember({"bare", "insulated"}));
  command
      ->add_option("--depth-rule", options->depth_rule,
                   "effective: the contact's effective depth; handbook: the driven depth as printed "
                   "(over-corrects bare stakes)")
      ->check(CLI::IsMember({"effective", "handbook"}));
  add_quantity(*command, "--error", options->error_ratio, Dimension::ratio,
               "one standard deviation of a reading, as in \"5 %\"");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(help_footer({"ohmroot readings cli/demo/home/readings.csv",
                               "ohmroot readings cli/demo/workshop/readings.csv --json",
                               "ohmroot readings cli/demo/home/readings.csv --depth-rule handbook"}) +
                  "\n      1 here means: a reading is doubtful.");
  command->callback([options, &outcome] { run_readings(*options, outcome); });
}

}  // namespace ohmroot::cli
