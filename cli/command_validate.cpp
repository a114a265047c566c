// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/evidence/check.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <memory>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

struct ValidateOptions {
  std::string folder;
  std::string room;
  bool summary_only = false;
  bool as_json = false;
};

/// The rows installed beside the program, or those of the source tree it was built in.
std::string default_reference_folder() {
  std::error_code unreadable;
  const fs::path program = fs::read_symlink("/proc/self/exe", unreadable);
  if (!unreadable) {
    const fs::path installed = program.parent_path().parent_path() / "share" / "ohmroot" / "reference";
    if (fs::is_directory(installed)) return installed.string();
  }
  return OHMROOT_BUILT_REFERENCE;
}

std::string provenance_word(evidence::Provenance provenance) {
  switch (provenance) {
  case evidence::Provenance::published:
    return "published, read";
  case evidence::Provenance::second_hand:
    return "second-hand";
  case evidence::Provenance::from_memory:
    return "from memory";
  case evidence::Provenance::common_practice:
    return "common practice";
  case evidence::Provenance::independent:
    return "independent";
  case evidence::Provenance::same_formula:
    return "same formula";
  }
  return {};
}

std::string value_text(const text::Value& value) {
  if (value.is_number()) return format_number(value.number(), 6);
  if (value.is_text()) return value.text();
  if (value.is_array()) {
    std::string text;
    for (const text::Value& item : value.array())
      text += (text.empty() ? "" : ", ") + value_text(item);
    return text;
  }
  return "-";
}

std::string result_word(const evidence::CheckOutcome& outcome) {
  if (!outcome.was_run) return "not yet run";
  if (!outcome.is_as_stated) return "FAILED";
  return outcome.is_within_tolerance ? "pass" : "disagrees, as stated";
}

std::string difference_text(const evidence::CheckOutcome& outcome) {
  if (!outcome.was_run || outcome.check->expected.is_text()) return "-";
  return fmt::format("{:.2g}", outcome.difference_ratio);
}

void print_table(const std::vector<evidence::CheckOutcome>& outcomes,
                 const std::map<std::string, const evidence::Source*>& sources) {
  std::vector<std::vector<std::string>> rows{
      {"row", "quantity", "expected", "computed", "difference", "allowed", "result", "provenance", "source"}};
  for (const evidence::CheckOutcome& outcome : outcomes) {
    const evidence::Check& check = *outcome.check;
    const auto source = sources.find(check.source_id);
    rows.push_back({check.id, check.quantity, value_text(check.expected),
                    outcome.was_run ? value_text(outcome.computed) : "-", difference_text(outcome),
                    fmt::format("{:.2g}", check.tolerance_ratio), result_word(outcome),
                    provenance_word(check.provenance),
                    (source == sources.end() ? check.source_id : source->second->title) +
                        (check.where.empty() ? "" : ", " + check.where)});
  }
  print(table(rows) + "\n");
  for (const evidence::CheckOutcome& outcome : outcomes) {
    if (outcome.was_run && outcome.is_as_stated && outcome.is_within_tolerance) continue;
    const std::string& remark = outcome.why.empty() ? outcome.check->remark : outcome.why;
    print(paragraph(fmt::format("{}: {}: {}", outcome.check->id, result_word(outcome), remark), 2));
  }
}

std::string summary_text(const evidence::EvidenceTally& t) {
  return fmt::format("\n{} rows; {} run, {} as stated, {} failed, {} not yet run.\n"
                     "Of the rows run: {} against numbers printed in a publication that was read (page or "
                     "typed copy of its "
                     "table),\n  {} second-hand, {} from memory, {} common practice, {} computed "
                     "independently; {} recomputed from the "
                     "same formula, counted apart.\n",
                     t.row_count, t.run_count, t.passed_count, t.failed_count, t.not_yet_run_count,
                     t.published_count, t.second_hand_count, t.from_memory_count, t.common_practice_count,
                     t.independent_count, t.same_formula_count);
}

text::Value outcome_document(const evidence::CheckOutcome& outcome,
                             const std::map<std::string, const evidence::Source*>& sources) {
  const evidence::Check& check = *outcome.check;
  text::Value row;
  row.set("id", check.id);
  row.set("quantity", check.quantity);
  row.set("given", check.given);
  row.set("expected", check.expected);
  if (outcome.was_run) {
    row.set("computed", outcome.computed);
    row.set("difference_ratio", outcome.difference_ratio);
  }
  row.set("tolerance_ratio", check.tolerance_ratio);
  row.set("tolerance_because", check.tolerance_because);
  row.set("result", result_word(outcome));
  row.set("provenance", provenance_word(check.provenance));
  const auto source = sources.find(check.source_id);
  if (source != sources.end()) {
    row.set("source", source->second->title);
    row.set("how_seen", source->second->how_seen);
  }
  row.set("where", check.where);
  if (!check.remark.empty()) row.set("remark", check.remark);
  return row;
}

void run_validate(const ValidateOptions& options, Outcome& outcome) {
  const std::string folder = options.folder.empty() ? default_reference_folder() : options.folder;
  if (!fs::is_directory(folder))
    throw CommandError(no_input, fmt::format("{}: no such folder of check values", folder));
  Diagnostics diagnostics(folder);
  const evidence::CheckBook book = evidence::read_check_book(folder, diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  std::vector<evidence::CheckOutcome> outcomes = evidence::run_checks(book);
  if (!options.room.empty()) {
    outcomes.erase(
        std::remove_if(outcomes.begin(), outcomes.end(),
                       [&](const auto& o) { return o.check->quantity.rfind(options.room + ".", 0) != 0; }),
        outcomes.end());
    if (outcomes.empty())
      throw CommandError(usage, fmt::format("validate: no check row belongs to '{}'", options.room));
  }
  std::map<std::string, const evidence::Source*> sources;
  for (const evidence::Source& source : book.sources)
    sources[source.id] = &source;
  const evidence::EvidenceTally tally = evidence::tally(outcomes);
  outcome.exit_code = tally.failed_count == 0 ? met : not_met;
  if (options.as_json) {
    text::Value document;
    text::Array rows;
    for (const auto& row : outcomes)
      rows.push_back(outcome_document(row, sources));
    document.set("checks", std::move(rows));
    document.set("run_count", tally.run_count);
    document.set("failed_count", tally.failed_count);
    document.set("published_count", tally.published_count);
    print(text::write_json(document));
    return;
  }
  if (!options.summary_only) print_table(outcomes, sources);
  print(summary_text(tally));
}

}  // namespace

void add_validate(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<ValidateOptions>();
  CLI::App* command = app.add_subcommand(
      "validate", "Check the program against published values: the table for a consultant's file");
  command->add_option("--reference", options->folder,
                      "folder of check values; default: those installed with the program");
  command->add_option("--room", options->room, "only one part: earth, electrode, sounding, supply, routes");
  command->add_flag("--summary", options->summary_only, "only the counts");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot validate", "ohmroot validate --room supply", "ohmroot validate --summary"}) +
      "\n      1 here means: a row is not as stated.");
  command->callback([options, &outcome] { run_validate(*options, outcome); });
}

}  // namespace ohmroot::cli
