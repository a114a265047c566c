// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/recheck.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <cmath>
#include <memory>

namespace ohmroot::cli {
namespace {

struct RecheckOptions {
  std::string record;
  std::optional<double> added_a;
  std::optional<int> phase;
  std::string model;
  std::string model_basis;
  bool as_json = false;
};

struct Rechecked {
  std::string verdict_before;
  study::ChangedSite changed;
  study::StudyResult result;
  std::vector<supply::Requirement> needed_before;
  study::LoadRoom room;
};

/// What the record says of itself; the words of the record, not a new study of it.
std::string recorded_verdict(const std::string& name, const text::Value& record) {
  const text::Value* verdict = record.find("verdict");
  if (verdict == nullptr || !verdict->is_text() || record.find("input") == nullptr)
    throw CommandError(bad_data,
                       fmt::format("{}: is no record of a study; give the results.json that 'study' "
                                   "has written",
                                   name));
  return verdict->text();
}

std::optional<supply::LoadModel> model_of(const std::string& word) {
  if (word.empty()) return std::nullopt;
  for (const supply::LoadModel model :
       {supply::LoadModel::constant_impedance, supply::LoadModel::constant_current,
        supply::LoadModel::constant_power}) {
    if (supply::load_model_name(model) == word) return model;
  }
  throw CommandError(usage,
                     fmt::format("recheck: load model \"{}\" is not known; it may be constant impedance, "
                                 "constant current or constant power",
                                 word));
}

Rechecked recheck(const RecheckOptions& options) {
  Diagnostics diagnostics(options.record);
  const std::string bytes = read_input(options.record);
  const Document document = read_document(options.record, bytes, diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  Rechecked rechecked;
  rechecked.verdict_before = recorded_verdict(options.record, document.value);
  const auto site = study::read_site(*document.value.find("input"), document.dialect, {},
                                     file_loader_beside(options.record), diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  if (!site) throw InternalError(options.record + ": no site and no error");
  const study::AddedLoad added{*options.added_a, options.phase, model_of(options.model), options.model_basis};
  try {
    rechecked.changed = study::with_added_load(*site, added);
  } catch (const DomainError& error) {
    throw CommandError(usage, fmt::format("recheck: {}", error.what()));
  }
  rechecked.needed_before = supply::requirements({site->supply, site->loads, site->limit_v});
  rechecked.result = study::assess(rechecked.changed.site);
  if (const auto governing = rechecked.result.governing_candidate) {
    const double greatest_ohm = rechecked.result.candidates[*governing].to_earth_ohm.greatest;
    if (std::isfinite(greatest_ohm) && greatest_ohm > 0.0)
      rechecked.room = study::room_for_load(*site, added, greatest_ohm);
  }
  return rechecked;
}

std::string needed(const std::vector<supply::Requirement>& requirements) {
  const supply::Requirement* strictest = supply::span_of(requirements).strictest;
  if (strictest == nullptr) return "cannot be decided";
  switch (strictest->outcome) {
  case supply::RequirementOutcome::limited:
    return fmt::format("{} ({})", format_quantity(strictest->resistance_ohm, Dimension::resistance),
                       strictest->name);
  case supply::RequirementOutcome::none_needed:
    return fmt::format("no electrode needed ({})", strictest->name);
  case supply::RequirementOutcome::none_suffices:
    return fmt::format("no electrode suffices ({})", strictest->name);
  default:
    return fmt::format("cannot be decided ({})", strictest->name);
  }
}

std::string room_words(const Rechecked& rechecked) {
  if (!rechecked.result.governing_candidate) return "no electrode is judged";
  const std::string name = rechecked.result.candidates[*rechecked.result.governing_candidate].name;
  if (!rechecked.room.greatest_current_a)
    return fmt::format("none: the upper end of '{}' is above the strictest limit with no load added", name);
  if (rechecked.room.is_endless)
    return fmt::format("up to {} and beyond, by the limit of the own service",
                       format_quantity(*rechecked.room.greatest_current_a, Dimension::current));
  return fmt::format(
      "up to {} on the phase where it asks for most, by the limit of the own service and the "
      "upper end of '{}'",
      format_quantity(std::floor(10.0 * *rechecked.room.greatest_current_a) / 10.0, Dimension::current),
      name);
}

text::Value recheck_document(const Rechecked& rechecked, const RecheckOptions& options) {
  text::Value document;
  document.set("verdict_before", rechecked.verdict_before);
  document.set("verdict", study::verdict_name(rechecked.result.verdict));
  document.set("exit_code", study::exit_code(rechecked.result.verdict));
  document.set("added_current_a", *options.added_a);
  document.set("phase", rechecked.changed.phase);
  document.set("phase_chosen_as_worst", rechecked.changed.is_phase_chosen);
  document.set("needed_before", needed(rechecked.needed_before));
  document.set("needed_after", needed(rechecked.result.requirements));
  if (rechecked.room.greatest_current_a) document.set("room_current_a", *rechecked.room.greatest_current_a);
  document.set("room", room_words(rechecked));
  document.set("result", report::study_document(rechecked.result));
  return document;
}

void run_recheck(const RecheckOptions& options, Outcome& outcome) {
  if (!options.added_a) throw CommandError(usage, "recheck: say what is added: --load-added \"16 A\"");
  const Rechecked rechecked = recheck(options);
  outcome.exit_code = study::exit_code(rechecked.result.verdict);
  if (options.as_json) return print(text::write_json(recheck_document(rechecked, options)));
  const std::string verdict = study::verdict_name(rechecked.result.verdict);
  print(fmt::format(
      "Verdict with {} more: {}{}\n", format_given(*options.added_a, Dimension::current), verdict,
      verdict == rechecked.verdict_before ? ", as in the record"
                                          : fmt::format("; in the record: {}", rechecked.verdict_before)));
  print(paragraph(rechecked.result.headline, 2) + paragraph(rechecked.result.rests_on, 2) + "\n");
  const std::string place =
      rechecked.changed.site.supply.phase_count == 1
          ? std::string("the one phase")
          : fmt::format("phase {}{}", rechecked.changed.phase,
                        rechecked.changed.is_phase_chosen ? ", where it asks for most" : "");
  print(table({{"load added", fmt::format("{} on {}, {}", format_given(*options.added_a, Dimension::current),
                                          place, options.model.empty() ? "every load model" : options.model)},
               {"resistance needed before", needed(rechecked.needed_before)},
               {"resistance needed now", needed(rechecked.result.requirements)}}));
  print(paragraph("Room for a load on the recorded site: " + room_words(rechecked) + "."));
  print("\n" + paragraph(rechecked.result.cautions.front()));
}

}  // namespace

void add_recheck(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<RecheckOptions>();
  CLI::App* command = app.add_subcommand(
      "recheck",
      "A record and a load that comes later: does the verdict stand? The exit code is the new verdict's");
  command->add_option("record", options->record, "results.json of the study")->required();
  add_quantity(*command, "--load-added", options->added_a, Dimension::current,
               "greatest current of the load, such as \"16 A\"; it may also be off");
  command
      ->add_option("--phase", options->phase, "phase it is put on; left out: the one where it asks for most")
      ->check(CLI::Range(1, 3));
  command->add_option("--model", options->model,
                      "constant impedance, constant current or constant power; left out: all three");
  command->add_option("--model-basis", options->model_basis, "why the stated model holds");
  command->add_flag("--json", options->as_json, "print the answer and the whole new study as JSON");
  command->footer(help_footer({"ohmroot study cli/demo/home/site.toml -o build/home --overwrite --no-figures",
                               "ohmroot recheck build/home/results.json --load-added \"16 A\""}));
  command->callback([options, &outcome] { run_recheck(*options, outcome); });
}

}  // namespace ohmroot::cli
