// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/report/json.hpp>
#include <ohmroot/study/governing_load.hpp>
#include <ohmroot/study/street.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <limits>
#include <memory>

namespace ohmroot::cli {
namespace {

struct PenOptions {
  std::string input;
  int phase_count = 1;
  std::array<std::optional<double>, 3> current_a;
  std::array<std::optional<double>, 3> least_current_a;
  std::optional<double> power_factor_ratio;
  bool is_leading = false;
  std::string model;
  std::optional<double> nominal_v;
  std::optional<double> lowest_v;
  std::optional<double> highest_v;
  std::optional<double> limit_v;
  std::optional<double> source_earth_ohm;
  std::optional<double> earth_ohm;
  bool as_json = false;
};

study::Site site_of(const PenOptions& options) {
  if (!options.input.empty()) {
    return read_site_document(options.input, {.soil = false, .loads = true, .candidates = false},
                              options.as_json);
  }
  study::Site site;
  site.supply.phase_count = options.current_a[1] || options.current_a[2] ? 3 : options.phase_count;
  site.supply.nominal_v = options.nominal_v.value_or(site.supply.nominal_v);
  site.supply.lowest_v = options.lowest_v.value_or(0.94 * site.supply.nominal_v);
  site.supply.highest_v = options.highest_v.value_or(1.10 * site.supply.nominal_v);
  site.supply.source_earth_ohm = options.source_earth_ohm.value_or(0.0);
  site.limit_v = options.limit_v.value_or(site.limit_v);
  for (std::size_t k = 0; k < 3; ++k) {
    if (!options.current_a[k]) continue;
    supply::Load load;
    load.name = fmt::format("load on phase {}", k + 1);
    load.phase = static_cast<int>(k + 1);
    load.greatest_current_a = *options.current_a[k];
    load.least_current_a = options.least_current_a[k].value_or(0.0);
    load.minimum_basis = "typed on the command line";
    load.power_factor_ratio = options.power_factor_ratio.value_or(1.0);
    load.is_leading = options.is_leading;
    if (options.model == "constant-impedance") load.stated_model = supply::LoadModel::constant_impedance;
    if (options.model == "constant-current") load.stated_model = supply::LoadModel::constant_current;
    if (options.model == "constant-power") load.stated_model = supply::LoadModel::constant_power;
    load.model_basis = "typed on the command line";
    if (load.least_current_a > load.greatest_current_a) {
      throw CommandError(usage,
                         fmt::format("pen: the least current on phase {} is above the greatest", k + 1));
    }
    site.loads.push_back(load);
  }
  if (site.loads.empty())
    throw CommandError(usage, "pen: give --current, as in --current \"40 A\", or --input");
  return site;
}

supply::OpenPenState state_with(const study::Site& site, supply::OpenPenCircuit circuit,
                                std::optional<double> earth_ohm) {
  if (earth_ohm) circuit.earth_path_ohm.push_back(*earth_ohm);
  for (const study::OtherEarthPath& path : site.other_paths) {
    if (path.is_relied_on) circuit.earth_path_ohm.push_back(path.resistance_ohm);
  }
  return supply::open_pen_state(circuit);
}

/// Met only if every load model and the rules' expression are; not met only if none of them is.
int judged(double earth_ohm, const std::vector<supply::Requirement>& requirements) {
  const supply::RequirementSpan span = supply::span_of(requirements);
  const auto limit_ohm = [](const supply::Requirement* requirement) {
    if (requirement == nullptr || requirement->outcome == supply::RequirementOutcome::none_suffices)
      return 0.0;
    if (requirement->outcome == supply::RequirementOutcome::none_needed)
      return std::numeric_limits<double>::infinity();
    return requirement->resistance_ohm;
  };
  if (span.has_uncovered || span.strictest == nullptr) return undecided;
  if (earth_ohm <= limit_ohm(span.strictest)) return met;
  return earth_ohm > limit_ohm(span.most_lenient) ? not_met : undecided;
}

std::string requirement_value(const supply::Requirement& requirement) {
  switch (requirement.outcome) {
  case supply::RequirementOutcome::limited:
    return format_quantity(requirement.resistance_ohm, Dimension::resistance);
  case supply::RequirementOutcome::none_needed:
    return "none needed";
  case supply::RequirementOutcome::none_suffices:
    return "none suffices";
  case supply::RequirementOutcome::not_covered:
    return "not computed";
  }
  return {};
}

void print_requirements(const study::Site& site, const std::vector<supply::Requirement>& requirements) {
  print(fmt::format("Largest resistance to earth that keeps the MET within {} of true earth\n",
                    format_given(site.limit_v, Dimension::voltage)));
  std::vector<std::vector<std::string>> rows{{"load model", "largest R", "at source voltage"}};
  for (const supply::Requirement& r : requirements) {
    rows.push_back({r.name, requirement_value(r),
                    r.at_source_v > 0 ? format_quantity(r.at_source_v, Dimension::voltage, 4) : "-"});
  }
  print(table(rows) + "\n");
  for (const supply::Requirement& r : requirements) {
    print(paragraph(fmt::format("{}: {}", r.name, r.expression.empty() ? r.why : r.expression), 2));
    print(paragraph(
        fmt::format("Source: {}.{}", r.source, r.expression.empty() || r.why.empty() ? "" : " " + r.why), 4));
  }
}

void print_state(const std::string& heading, const supply::OpenPenState& state, int phase_count) {
  print("\n" + heading + "\n");
  if (state.status != supply::OpenPenStatus::solved) {
    print(paragraph(state.why, 2));
    return;
  }
  const auto volts = [](double v) { return format_quantity(v, Dimension::voltage); };
  std::string lines;
  for (int phase = 0; phase < phase_count; ++phase) {
    lines += (phase == 0 ? " " : ", ") + volts(state.line_to_neutral_v[static_cast<std::size_t>(phase)]);
  }
  print(fmt::format("  MET to true earth {}; line to neutral{}\n", volts(std::abs(state.met_v)), lines));
  print(fmt::format("  current through earth {}, heat in the electrode {}\n",
                    format_quantity(state.electrode_current_a, Dimension::current),
                    format_quantity(state.electrode_power_w, Dimension::power)));
}

/// One break: the site as it sees it, the requirements there, and the states at the load that governs.
struct BreakView {
  std::string place;
  study::Site site;
  std::vector<supply::Requirement> requirements;
  study::GoverningLoad governing;
  supply::OpenPenState without;
  std::optional<supply::OpenPenState> with;
  int exit_code = met;
};

BreakView view_of(std::string place, const study::Site& site, std::optional<double> earth_ohm) {
  auto requirements = supply::requirements({site.supply, site.loads, site.limit_v});
  study::GoverningLoad governing = study::governing_load(site, requirements);
  BreakView view{std::move(place), site, std::move(requirements), std::move(governing), {}, {}};
  view.without = state_with(site, view.governing.circuit, std::nullopt);
  if (!earth_ohm) return view;
  view.with = state_with(site, view.governing.circuit, earth_ohm);
  view.exit_code = judged(study::with_relied_on_paths_ohm(*earth_ohm, site.other_paths), view.requirements);
  return view;
}

text::Value document_of(const BreakView& view) {
  text::Value document;
  text::Array rows;
  for (const auto& requirement : view.requirements)
    rows.push_back(report::requirement_document(requirement));
  document.set("requirements", std::move(rows));
  document.set("limit_v", view.site.limit_v);
  document.set("load", view.governing.description);
  document.set("without_electrode", report::state_document(view.without));
  if (view.with) {
    document.set("exit_code", view.exit_code);
    document.set("with_electrode", report::state_document(*view.with));
  }
  return document;
}

void print_view(const BreakView& view, std::optional<double> earth_ohm) {
  print_requirements(view.site, view.requirements);
  print("\n" + paragraph("The load that governs: " + view.governing.description + "."));
  print_state("PEN broken " + view.place + ", no electrode", view.without, view.site.supply.phase_count);
  if (!view.with) return;
  const std::string earth = format_given(*earth_ohm, Dimension::resistance);
  print_state(fmt::format("PEN broken {}, {} to earth", view.place, earth), *view.with,
              view.site.supply.phase_count);
  print(fmt::format("\n{} to earth, PEN broken {}: {}\n", earth, view.place,
                    view.exit_code == met ? "holds the limit under every load model that applies"
                    : view.exit_code == not_met
                        ? "holds the limit under none of the load models"
                        : "holds the limit under some of the load models only, or one "
                          "could not be computed: cannot be decided"));
}

/// Not met is worse than undecided, undecided worse than met.
int worse_of(int a, int b) {
  if (a == not_met || b == not_met) return not_met;
  return a == undecided || b == undecided ? undecided : met;
}

void run_pen(const PenOptions& options, Outcome& outcome) {
  const study::Site site = site_of(options);
  const BreakView own = view_of("in the own service", site, options.earth_ohm);
  std::optional<BreakView> street;
  if (site.street) street = view_of("up the street", study::seen_from_street(site), options.earth_ohm);
  outcome.exit_code = own.exit_code;
  if (street && study::does_street_count(site))
    outcome.exit_code = worse_of(own.exit_code, street->exit_code);
  const std::string holds_for =
      !street
          ? "a break of the PEN in the customer's own service; a break upstream adds other people's current"
      : study::does_street_count(site) ? "a break in the own service and one up the street, side by side; "
                                         "the worse of the two answers counts"
                                       : "a break in the own service, which the site states as the only one; "
                                         "the street is shown beside it";
  if (options.as_json) {
    text::Value document = document_of(own);
    if (street) document.set("street", document_of(*street));
    if (options.earth_ohm) {
      document.set("earth_ohm", *options.earth_ohm);
      document.set("exit_code", outcome.exit_code);
    }
    document.set("holds_for", holds_for);
    print(text::write_json(document));
    return;
  }
  if (street) print("A break in the own service\n\n");
  print_view(own, options.earth_ohm);
  if (street) {
    print("\nA break up the street: the loads and ways to earth of the other customers counted\n\n");
    print_view(*street, options.earth_ohm);
  }
  print("\n" + paragraph("Holds for " + holds_for +
                         ". No RCD sees it: the current leaves and returns inside the circuit that the RCD "
                         "watches."));
}

}  // namespace

void add_pen(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<PenOptions>();
  CLI::App* command = app.add_subcommand(
      "pen", "Voltages with the PEN broken, and the largest electrode resistance that holds the limit");
  add_quantity(*command, "--current,--current-1", options->current_a[0], Dimension::current,
               "greatest load on phase 1, at nominal voltage");
  add_quantity(*command, "--current-2", options->current_a[1], Dimension::current,
               "on phase 2 (makes it three-phase)");
  add_quantity(*command, "--current-3", options->current_a[2], Dimension::current,
               "on phase 3 (makes it three-phase)");
  add_quantity(*command, "--least,--least-1", options->least_current_a[0], Dimension::current,
               "always drawn on phase 1; 0 unless evidenced");
  add_quantity(*command, "--least-2", options->least_current_a[1], Dimension::current,
               "always drawn on phase 2");
  add_quantity(*command, "--least-3", options->least_current_a[2], Dimension::current,
               "always drawn on phase 3");
  command->add_option("--phases", options->phase_count, "1 or 3")->check(CLI::IsMember({1, 3}));
  add_quantity(*command, "--power-factor", options->power_factor_ratio, Dimension::ratio,
               "of all loads, in (0, 1]; default 1");
  command->add_flag("--leading", options->is_leading, "the current leads");
  command
      ->add_option("--model", options->model,
                   "how the loads follow the voltage; default: all three are tried")
      ->check(CLI::IsMember({"constant-impedance", "constant-current", "constant-power"}));
  add_quantity(*command, "--nominal", options->nominal_v, Dimension::voltage,
               "line to neutral; default 230 V");
  add_quantity(*command, "--lowest", options->lowest_v, Dimension::voltage,
               "of the source; default 0.94 times nominal");
  add_quantity(*command, "--highest", options->highest_v, Dimension::voltage,
               "of the source; default 1.1 times nominal");
  add_quantity(*command, "--limit", options->limit_v, Dimension::voltage, "MET to true earth; default 70 V");
  add_quantity(*command, "--source-earth", options->source_earth_ohm, Dimension::resistance,
               "of the star point; default 0 ohm, the safe side");
  add_quantity(*command, "--earth", options->earth_ohm, Dimension::resistance,
               "from the MET to earth: shows the state with it and judges it");
  command->add_option(
      "--input", options->input,
      "a site document (TOML, or JSON with SI keys) in place of options; '-' for standard input");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(help_footer(
      {"ohmroot pen --current \"32 A\"", "ohmroot pen --current \"40 A\" --earth \"2 ohm\" --json",
       "ohmroot pen --current-1 \"60 A\" --current-2 \"20 A\" --current-3 \"20 A\" --least-1 \"60 A\" "
       "--least-2 \"20 A\" --least-3 \"20 A\" --model constant-impedance --earth \"5 ohm\""}));
  command->callback([options, &outcome] { run_pen(*options, outcome); });
}

}  // namespace ohmroot::cli
