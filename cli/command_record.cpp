// SPDX-License-Identifier: MIT
#include "command.hpp"
#include "record_dialogue.hpp"
#include "record_words.hpp"
#include "safe_working_dialogue.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/typed_reading.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <memory>

namespace ohmroot::cli {
namespace {

constexpr int one_line_wait_ms = 5000;  // unit: ms; another one-line command is done by then

struct RecordOptions {
  std::string file;
  std::string site;
  std::string along;
  std::string soil;
  std::string add;
  std::vector<std::string> answers;
  std::optional<double> stake_depth_m;
  std::optional<double> error_ratio;
  int correct_line = 0;
  int withdraw_line = 0;
  bool as_json = false;

  [[nodiscard]] bool is_one_line() const { return !add.empty() || withdraw_line > 0 || !answers.empty(); }
};

sounding::TypedDefaults defaults_of(const RecordOptions& options) {
  sounding::TypedDefaults defaults;
  defaults.traverse = options.along;
  defaults.driven_depth_m = options.stake_depth_m.value_or(0.0);
  defaults.relative_error_ratio = options.error_ratio.value_or(defaults.relative_error_ratio);
  return defaults;
}

text::Value kept_document(const RecordSession& session, const KeptReading& kept) {
  text::Value document;
  document.set("line", kept.line);
  document.set("resistance_ohm", kept.reading.resistance_ohm);
  document.set("is_lower_bound", kept.reading.is_lower_bound);
  if (!kept.reading.is_lower_bound)
    document.set("apparent_resistivity_ohm_m", sounding::apparent_resistivity_ohm_m(kept.reading));
  document.set("safe_working", kept.safety);
  document.set("clock_doubt", session.clock_doubt());
  text::Array sentences;
  for (const sounding::ReadingDoubt& doubt : session.doubts())
    sentences.emplace_back(doubt.sentence);
  document.set("doubts", std::move(sentences));
  document.set("judged", session.judged(kept.line));
  return document;
}

// --- One line --------------------------------------------------------------------------------------------

void run_one_line(RecordSession& session, const RecordOptions& options, Outcome& outcome) {
  if (!options.as_json && !session.clock_doubt().empty()) print(said(session.clock_doubt()));
  for (const std::string& words : options.answers) {
    const GivenAnswer given = read_given_answer(words, "record");
    session.answer(given.question, given.answer);
  }
  if (options.withdraw_line > 0) {
    const int line = session.withdraw(session.reading_at(options.withdraw_line).reading.sheet_line, "");
    print(fmt::format("line {} is on disk: line {} is withdrawn\n", line, options.withdraw_line));
  }
  if (options.add.empty()) return;
  sounding::TypedDefaults defaults = defaults_of(options);
  if (options.correct_line > 0) defaults.corrected = session.reading_at(options.correct_line).reading;
  const sounding::TypedReading typed = sounding::read_typed(options.add, defaults);
  if (!typed.reading) throw CommandError(usage, fmt::format("record: {}; {}", typed.problem, typed.hint));
  const KeptReading kept = session.keep(*typed.reading, typed.remark, options.correct_line);
  if (options.as_json)
    print(text::write_json(kept_document(session, kept)));
  else
    print_kept(session, kept, options.correct_line);
  outcome.exit_code = session.doubts().empty() ? met : not_met;
}

void run_record(const RecordOptions& options, Outcome& outcome) {
  if (options.correct_line > 0 && options.add.empty())
    throw CommandError(usage,
                       "record: --correct LINE needs what is right, as in --correct 5 --add \"R=12.3 ohm\"");
  if (options.as_json && options.add.empty()) throw CommandError(usage, "record: --json needs --add");
  try {
    RecordSession session(options.file, options.is_one_line() ? one_line_wait_ms : 0, options.site);
    if (!options.soil.empty()) session.set_soil(options.soil);
    if (options.is_one_line())
      run_one_line(session, options, outcome);
    else
      outcome.exit_code = run_dialogue(session, defaults_of(options));
  } catch (const text::JournalError& error) {
    throw CommandError(static_cast<ExitCode>(exit_code_of(error.fault())), error.what());
  }
}

}  // namespace

void add_record(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<RecordOptions>();
  CLI::App* command = app.add_subcommand(
      "record",
      "Keep four-pole readings on site: each is on disk before the next is asked, and judged at once");
  command->add_option("file", options->file, "the field book (CSV); made if it is not there")->required();
  command->add_option("--add", options->add, "one reading, as \"a=4 m R=12.3 ohm\"; nothing is asked");
  command
      ->add_option("--correct", options->correct_line,
                   "with --add: the line that the reading takes the place of")
      ->check(CLI::Range(1, 1000000));
  command->add_option("--withdraw", options->withdraw_line, "the line whose reading counts no longer")
      ->check(CLI::Range(1, 1000000))
      ->excludes("--correct");
  command->add_option("--answer", options->answers,
                      "an answer on safe working for today, as \"weather safe: yes\"; once for each");
  command->add_option("--site", options->site, "name of the site; else that of the last line in the book");
  command->add_option("--along", options->along, "what the stakes stand along: name of the traverse");
  command->add_option("--soil", options->soil, "a word for the soil, against which readings are judged, too");
  add_quantity(*command, "--stake-depth", options->stake_depth_m, Dimension::length,
               "driven depth of the stakes, where a reading does not say");
  add_quantity(*command, "--error", options->error_ratio, Dimension::ratio,
               "one standard deviation of a reading, where it does not say, as in \"5 %\"");
  command->add_flag("--json", options->as_json, "with --add: print JSON");
  command->footer(
      help_footer(
          {"ohmroot record build/home/book.csv --site \"Invented home\" --add \"a=1 m R=20.7 ohm\"",
           "ohmroot record build/home/book.csv --correct 2 --add \"R=2.07 ohm\"",
           "ohmroot record build/home/book.csv --answer \"services searched: yes\" --answer \"weather safe: "
           "yes\" --answer \"vehicle disconnected: yes\" --add \"a=2 m R=9.4 ohm depth=10 cm\" --json",
           "ohmroot record build/home/book.csv --withdraw 3"}) +
      "\n      1 here means: a reading in the book is doubtful. Without --add, --answer or --withdraw it "
      "asks.");
  command->callback([options, &outcome] { run_record(*options, outcome); });
}

}  // namespace ohmroot::cli
