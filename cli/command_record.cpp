// SPDX-License-Identifier: MIT
#include "command.hpp"
#include "record_session.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/wrapped.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/typed_reading.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <iostream>
#include <memory>
#include <unistd.h>

namespace ohmroot::cli {
namespace {

using sounding::FourPoleReading;

constexpr int one_line_wait_ms = 5000;  // unit: ms; another one-line command is done by then

struct RecordOptions {
  std::string file;
  std::string site;
  std::string along;
  std::string add;
  std::vector<std::string> answers;
  std::optional<double> stake_depth_m;
  std::optional<double> error_ratio;
  int correct_line = 0;
  int withdraw_line = 0;
  bool as_json = false;

  [[nodiscard]] bool is_one_line() const { return !add.empty() || withdraw_line > 0 || !answers.empty(); }
};

std::string spacing_words(const FourPoleReading& reading) {
  if (reading.array == sounding::Array::wenner)
    return "a = " + format_given(2.0 * reading.half_potential_spacing_m, Dimension::length);
  return fmt::format("AB/2 = {}, MN/2 = {}", format_given(reading.half_current_spacing_m, Dimension::length),
                     format_given(reading.half_potential_spacing_m, Dimension::length));
}

std::string reading_words(const FourPoleReading& reading) {
  if (!reading.is_lower_bound)
    return fmt::format(
        "{}, R = {}, apparent resistivity {}", spacing_words(reading),
        format_given(reading.resistance_ohm, Dimension::resistance),
        format_quantity(sounding::apparent_resistivity_ohm_m(reading), Dimension::resistivity));
  return fmt::format("{}, over range: kept as a bound, not as a reading; wet or add stakes and repeat",
                     spacing_words(reading));
}

/// Narrower than other commands: a phone or a split screen is what there is on site.
constexpr std::size_t field_columns = 78;

std::string said(std::string_view text, int indent = 0) {
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  return report::wrapped(text, {margin, margin}, field_columns);
}

std::string item(std::string_view text) {
  return report::wrapped(text, {"  - ", "    "}, field_columns);
}

sounding::TypedDefaults defaults_of(const RecordOptions& options) {
  sounding::TypedDefaults defaults;
  defaults.traverse = options.along;
  defaults.driven_depth_m = options.stake_depth_m.value_or(0.0);
  defaults.relative_error_ratio = options.error_ratio.value_or(defaults.relative_error_ratio);
  return defaults;
}

void print_kept(const RecordSession& session, const KeptReading& kept, int replaced_line) {
  print(said(fmt::format("line {} is on disk: {}", kept.line, reading_words(kept.reading))));
  if (replaced_line > 0) print(fmt::format("  in place of line {}\n", replaced_line));
  if (!kept.safety.empty()) print(said("marked, safe working: " + kept.safety, 2));
  if (!kept.new_doubts.empty()) print("DOUBTFUL\n");
  for (const sounding::ReadingDoubt& doubt : kept.new_doubts)
    print(item(doubt.sentence));
  if (!kept.reading.is_lower_bound) print(session.curve(kept.line));
}

text::Value kept_document(const RecordSession& session, const KeptReading& kept) {
  text::Value document;
  document.set("line", kept.line);
  document.set("resistance_ohm", kept.reading.resistance_ohm);
  document.set("is_lower_bound", kept.reading.is_lower_bound);
  if (!kept.reading.is_lower_bound)
    document.set("apparent_resistivity_ohm_m", sounding::apparent_resistivity_ohm_m(kept.reading));
  document.set("safe_working", kept.safety);
  text::Array sentences;
  for (const sounding::ReadingDoubt& doubt : session.doubts())
    sentences.emplace_back(doubt.sentence);
  document.set("doubts", std::move(sentences));
  return document;
}

// --- One line --------------------------------------------------------------------------------------------

void give_answer(RecordSession& session, const std::string& words) {
  const auto colon = words.find_first_of(":=");
  const auto part = [&](std::size_t from, std::size_t count) {
    const std::string text = words.substr(from, count);
    const auto first = text.find_first_not_of(' ');
    return first == std::string::npos ? std::string()
                                      : text.substr(first, text.find_last_not_of(' ') - first + 1);
  };
  const auto question =
      colon == std::string::npos ? std::nullopt : sounding::read_safety_name(part(0, colon));
  const auto answer =
      colon == std::string::npos ? std::nullopt : sounding::read_answer(part(colon + 1, std::string::npos));
  if (question && answer) return session.answer(*question, *answer);
  std::string names;
  for (const sounding::SafetyQuestion known : sounding::safety_questions(sounding::Work::acceptance))
    names += fmt::format("{}{}", names.empty() ? "" : ", ", sounding::safety_name(known));
  throw CommandError(usage,
                     fmt::format("record: --answer '{}' is none; write \"{}: yes\" (or no, or not known); "
                                 "the questions are: {}",
                                 words, sounding::safety_name(sounding::SafetyQuestion::weather), names));
}

void run_one_line(RecordSession& session, const RecordOptions& options, Outcome& outcome) {
  for (const std::string& words : options.answers)
    give_answer(session, words);
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

// --- Asking ----------------------------------------------------------------------------------------------

/// Questions and answers on plain standard input and output, by hand or through a pipe.
class Dialogue {
public:
  Dialogue(RecordSession& session, const RecordOptions& options)
      : session_(session), defaults_(defaults_of(options)), is_typed_(::isatty(STDIN_FILENO) == 1) {
    defaults_.takes_bare_numbers = true;
  }

  int run() {
    greet();
    if (session_.site().empty()) {
      if (const auto site = ask("site: ")) session_.set_site(*site);
    }
    ask_safe_working();
    print("\nSpacing and reading: '4' then '12.3', or both: '4 12.3'.\n"
          "Also: help, list, correct LINE ..., withdraw LINE, quit.\n");
    while (const auto typed = ask("spacing a [m]: ")) {
      if (*typed == "quit" || *typed == "q") break;
      guarded([&] { obey(*typed); });
    }
    const auto doubts = session_.doubts();
    print(fmt::format("\n{} reading{} in the book, {} doubtful. All of it is on disk.\n",
                      session_.book().readings.size(), session_.book().readings.size() == 1 ? "" : "s",
                      doubts.size()));
    if (is_line_lost_) return write_failed;
    return doubts.empty() ? met : not_met;
  }

private:
  void greet() {
    print(fmt::format("Field book, {} reading{} in it.\n", session_.book().readings.size(),
                      session_.book().readings.size() == 1 ? "" : "s"));
    if (session_.torn_line() > 0)
      print(said(
          fmt::format("Line {} was cut off by a crash and never accepted; what is left of it is kept and "
                      "marked. Type it again.",
                      session_.torn_line())));
  }

  /// A line without blanks around it; nothing at the end of input.
  std::optional<std::string> ask(std::string_view prompt) {
    print(prompt);
    std::string line;
    if (!std::getline(std::cin, line)) return std::nullopt;
    const auto first = line.find_first_not_of(" \t\r");
    line = first == std::string::npos ? std::string()
                                      : line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
    if (!is_typed_) print(line + "\n");  // so that what went through a pipe can be read
    return line;
  }

  /// A mistake, or a line that could not be kept, is said and does not end the session.
  template <class Action>
  void guarded(Action action) {
    try {
      action();
    } catch (const CommandError& error) {
      if (error.code() != bad_data && error.code() != usage) throw;
      print(said(error.what(), 2));
    } catch (const DomainError& error) {
      print(said(fmt::format("not kept: {}", error.what()), 2));
    } catch (const text::JournalError& error) {
      is_line_lost_ = true;
      std::cerr << "NOT KEPT, write it on paper: " << error.what() << '\n';
    }
  }

  void ask_safe_working() {
    const auto open = session_.book().open_questions(session_.stamp(), sounding::Work::four_pole);
    if (open.empty()) return;
    print("Safe working today at this site: y yes, n no, ? not known\n");
    for (const sounding::SafetyQuestion question : open) {
      while (const auto typed = ask(fmt::format("  {} ", sounding::safety_words(question)))) {
        const auto answer = sounding::read_answer(*typed);
        if (!answer) {
          print("  y, n or ?\n");
          continue;
        }
        guarded([&] { session_.answer(question, *answer); });
        if (*answer != sounding::SafetyAnswer::yes) {
          print(said(std::string(sounding::safety_advice(question)) +
                         " Readings are taken all the same, and marked.",
                     4));
        }
        break;
      }
    }
  }

  void obey(const std::string& typed) {
    const auto gap = typed.find_first_of(" \t");
    const std::string word = typed.substr(0, gap);
    const std::string rest = gap == std::string::npos ? std::string() : typed.substr(gap + 1);
    if (typed.empty()) return;
    if (word == "help") return print_help();
    if (word == "list") return list();
    if (word == "curve") return print(session_.curve(0));
    if (word == "correct") return correct(rest);
    if (word == "withdraw") return withdraw(rest);
    if (word == "along" && rest.find('=') == std::string::npos) return name_traverse(rest);
    const bool has_reading = gap != std::string::npos && !parse_quantity(typed, Dimension::length).si_value;
    if (has_reading || typed.find('=') != std::string::npos) return keep(typed, 0);
    ask_reading(typed);
  }

  void ask_reading(const std::string& spacing) {
    const sounding::TypedReading checked = sounding::read_typed(fmt::format("a={} R=1", spacing), defaults_);
    if (!checked.reading) {
      const bool is_word = spacing.find_first_of("0123456789") == std::string::npos;
      throw CommandError(usage, is_word ? word_problem(spacing) : checked.problem + "; " + checked.hint);
    }
    while (const auto typed = ask("reading R [ohm]: ")) {
      if (typed->empty()) break;
      const bool is_whole = typed->find('=') < typed->find_first_of(" \t");  // "a=4 m R=3 ohm" after all
      const std::string words = is_whole ? *typed : fmt::format("a={} R={}", spacing, *typed);
      bool is_done = false;
      guarded([&] {
        keep(words, 0);
        is_done = true;
      });
      if (is_done) return;
    }
    print("  nothing kept\n");
  }

  [[nodiscard]] static std::string word_problem(const std::string& typed) {
    constexpr std::array<std::string_view, 7> known{"help",     "list",  "curve", "correct",
                                                    "withdraw", "along", "quit"};
    const std::string near = nearest_word(typed, known);
    return fmt::format("'{}' is neither a spacing nor a word known here; {}", typed,
                       near.empty() ? "'help' lists them" : fmt::format("did you mean '{}'?", near));
  }

  void keep(const std::string& words, int replaced_line) {
    sounding::TypedDefaults defaults = defaults_;
    if (replaced_line > 0) defaults.corrected = session_.reading_at(replaced_line).reading;
    const sounding::TypedReading typed = sounding::read_typed(words, defaults);
    if (!typed.reading) throw CommandError(usage, typed.problem + "; " + typed.hint);
    const KeptReading kept = session_.keep(*typed.reading, typed.remark, replaced_line);
    print_kept(session_, kept, replaced_line);
    if (!kept.new_doubts.empty())
      print(fmt::format("  A slip of the pen? correct LINE R=..., LINE being {}\n", doubtful_lines(kept)));
  }

  [[nodiscard]] std::string doubtful_lines(const KeptReading& kept) const {
    std::string lines;
    const auto readings = session_.book().four_pole_readings();
    for (const sounding::ReadingDoubt& doubt : kept.new_doubts)
      lines += fmt::format("{}{}", lines.empty() ? "" : " or ", readings[doubt.reading_index].sheet_line);
    return lines;
  }

  [[nodiscard]] static int line_number(const std::string& text) {
    const ParsedQuantity parsed = parse_number(text);
    if (!parsed.si_value || *parsed.si_value < 1 || *parsed.si_value > 1e6)
      throw CommandError(usage, "which line? its number was printed when it was kept; 'list' shows it, too");
    return static_cast<int>(*parsed.si_value);
  }

  void correct(const std::string& rest) {
    const auto gap = rest.find_first_of(" \t");
    const int line = line_number(rest.substr(0, gap));
    const auto& old = session_.reading_at(line);
    std::string words = gap == std::string::npos ? std::string() : rest.substr(gap + 1);
    if (words.empty()) {
      print(fmt::format("  line {}: {}\n", line, reading_words(old.reading)));
      const auto typed = ask("  right reading R [ohm]: ");
      if (!typed || typed->empty()) return print("  nothing changed\n");
      words = *typed;
    }
    if (words.find('=') == std::string::npos && words.find_first_of(" \t") == std::string::npos)
      words = "R=" + words;
    keep(words, line);
  }

  void withdraw(const std::string& rest) {
    const int line = line_number(rest);
    (void)session_.reading_at(line);
    print(fmt::format("line {} is on disk: line {} is withdrawn\n", session_.withdraw(line, ""), line));
  }

  void name_traverse(const std::string& name) {
    defaults_.traverse = name;
    print(fmt::format("  readings from here on are along '{}'\n", name));
  }

  void list() {
    std::vector<std::vector<std::string>> rows{{"line", "along", "reading", "safe working", "remark"}};
    for (const sounding::BookReading& kept : session_.book().readings)
      rows.push_back({std::to_string(kept.reading.sheet_line), kept.reading.traverse,
                      reading_words(kept.reading), kept.safety.empty() ? "" : "marked", kept.remark});
    print(table(rows));
    for (const sounding::ReadingDoubt& doubt : session_.doubts())
      print(item(doubt.sentence));
  }

  void print_help() {
    print("  4            a spacing in m; the reading is asked next\n"
          "  4 12.3       spacing in m, reading in ohm; OL or >1999 if over range\n"
          "  a=4 m R=12.3 ohm depth=20 cm error=3 % along=hedge note=wet\n"
          "  AB/2=10 m MN/2=0.5 m R=2 ohm   or V=... I=... in place of R\n"
          "  correct 5 12.6   the reading of line 5 was 12.6 ohm\n"
          "  correct 5 a=3    its spacing was 3 m; line 5 stays in the book\n"
          "  withdraw 5   line 5 counts no longer, and stays\n"
          "  along hedge  readings from here on are along the hedge\n"
          "  list, curve, quit\n");
  }

  RecordSession& session_;
  sounding::TypedDefaults defaults_;
  bool is_typed_;
  bool is_line_lost_ = false;
};

void run_record(const RecordOptions& options, Outcome& outcome) {
  if (options.correct_line > 0 && options.add.empty())
    throw CommandError(usage,
                       "record: --correct LINE needs what is right, as in --correct 5 --add \"R=12.3 ohm\"");
  if (options.as_json && options.add.empty()) throw CommandError(usage, "record: --json needs --add");
  try {
    RecordSession session(options.file, options.is_one_line() ? one_line_wait_ms : 0, options.site);
    if (options.is_one_line())
      run_one_line(session, options, outcome);
    else
      outcome.exit_code = Dialogue(session, options).run();
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
