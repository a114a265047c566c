// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/record_change.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <memory>

namespace ohmroot::cli {
namespace {

struct CompareOptions {
  std::string before;
  std::string after;
  bool as_json = false;
};

text::Value read_record(const std::string& name, bool as_json) {
  Diagnostics diagnostics(name);
  const Document document = read_document(name, read_input(name), diagnostics);
  report_diagnostics(diagnostics, as_json);
  return document.value;
}

std::string changes_text(const std::string& heading, const std::vector<report::RecordChange>& changes,
                         const std::string& none) {
  if (changes.empty()) return heading + "\n" + bullet(none);
  std::string text = heading + "\n";
  for (const report::RecordChange& change : changes)
    text += bullet(fmt::format("{}: {} -> {}{}{}", change.name, change.before, change.after,
                               change.remark.empty() ? "" : "; ", change.remark));
  return text;
}

void run_compare(const CompareOptions& options, Outcome& outcome) {
  if (options.before == "-" && options.after == "-")
    throw CommandError(usage, "compare: only one of the two records can come from standard input");
  const text::Value before = read_record(options.before, options.as_json);
  const text::Value after = read_record(options.after, options.as_json);
  report::RecordComparison comparison;
  try {
    comparison = report::compare_records(before, after);
  } catch (const DomainError& error) {
    throw CommandError(bad_data, fmt::format("compare: {} (before: {}; after: {})", error.what(),
                                             options.before, options.after));
  }
  outcome.exit_code = comparison.exit_code_after;
  if (options.as_json) return print(text::write_json(report::comparison_document(comparison)));
  print(fmt::format("Verdict: {}{}\n\n", comparison.verdict_after,
                    comparison.verdict_before == comparison.verdict_after
                        ? ", as before"
                        : fmt::format("; before: {}", comparison.verdict_before)));
  print(changes_text("What was changed", comparison.inputs, "nothing: both records have the same input"));
  print("\n" + changes_text(fmt::format("What came of it (differences up to {} % are not listed)",
                                        format_number(100 * report::unchanged_within_ratio)),
                            comparison.numbers, "no result moved by more"));
  print(headed_list("Standing conditions that hold no longer", comparison.conditions_gone));
  print(headed_list("New standing conditions", comparison.conditions_new));
  print(headed_list("Mind", comparison.remarks));
}

}  // namespace

void add_compare(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<CompareOptions>();
  CLI::App* command = app.add_subcommand(
      "compare", "Two records of a site: what was changed, and which numbers and conditions with it");
  command->add_option("before", options->before, "the older results.json")->required();
  command->add_option("after", options->after, "the newer results.json")->required();
  command->add_flag("--json", options->as_json, "print the comparison as JSON");
  command->footer(help_footer({"ohmroot study cli/demo/home/site.toml -o build/home --overwrite --no-figures",
                               "ohmroot compare build/home/results.json build/home/results.json"}));
  command->callback([options, &outcome] { run_compare(*options, outcome); });
}

}  // namespace ohmroot::cli
