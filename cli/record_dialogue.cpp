// SPDX-License-Identifier: MIT
#include "record_dialogue.hpp"

#include "command.hpp"
#include "record_words.hpp"
#include "safe_working_dialogue.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/safe_working.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iostream>
#include <set>

namespace ohmroot::cli {
namespace {

/// Questions and answers on plain standard input and output, by hand or through a pipe.
class Dialogue {
public:
  Dialogue(RecordSession& session, const sounding::TypedDefaults& defaults)
      : session_(session), defaults_(defaults) {
    defaults_.takes_bare_numbers = true;
  }

  int run() {
    greet();
    if (session_.site().empty()) {
      if (const auto site = asked("site: ")) session_.set_site(*site);
    }
    ask_safe_working(session_.book().open_questions(session_.stamp(), sounding::Work::four_pole),
                     [&](sounding::SafetyQuestion question, sounding::SafetyAnswer answer) {
                       guarded([&] { session_.answer(question, answer); });
                     });
    print("\nSpacing and reading: '4' then '12.3', or both: '4 12.3'.\n"
          "Also: help, list, correct LINE ..., withdraw LINE, quit.\n");
    while (const auto typed = asked("spacing a [m]: ")) {
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
    if (!session_.clock_doubt().empty()) print(said(session_.clock_doubt()));
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
    if (word == "soil" && rest.find('=') == std::string::npos) return name_soil(rest);
    if (word == "along" && rest.find('=') == std::string::npos) return name_traverse(rest);
    if (const std::string meant = word_meant(word); !meant.empty())
      throw CommandError(usage, fmt::format("'{}' is no word known here; did you mean '{}'?", word, meant));
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
    while (const auto typed = asked("reading R [ohm]: ")) {
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

  static constexpr std::array<std::string_view, 8> known_words{"help",     "list",  "curve", "correct",
                                                               "withdraw", "along", "soil",  "quit"};

  /// The word that letters alone stand for; empty for one that is right, or none.
  [[nodiscard]] static std::string word_meant(const std::string& word) {
    const bool is_letters =
        std::all_of(word.begin(), word.end(), [](char c) { return c >= 'a' && c <= 'z'; });
    return is_letters ? nearest_word(word, known_words) : std::string();
  }

  [[nodiscard]] static std::string word_problem(const std::string& typed) {
    const std::string near = nearest_word(typed, known_words);
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
    std::set<int> lines;
    const auto readings = session_.book().four_pole_readings();
    for (const sounding::ReadingDoubt& doubt : kept.new_doubts) {
      for (const sounding::BookReading* one :
           session_.book().at_place_of(readings[doubt.reading_index].sheet_line))
        lines.insert(one->reading.sheet_line);
    }
    return fmt::format("{}", fmt::join(lines, " or "));
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
      const auto typed = asked("  right reading R [ohm]: ");
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

  void name_soil(const std::string& word) {
    session_.set_soil(word);
    print(fmt::format("  readings are judged against the range of {}, too\n", session_.soil()->word));
    for (const sounding::ReadingDoubt& doubt : session_.doubts())
      print(item(doubt.sentence));
  }

  void list() {
    std::vector<std::vector<std::string>> rows{
        {"line", "along", "spacing", "R", "rho_a", "marked", "remark"}};
    for (const sounding::BookReading& kept : session_.book().readings) {
      std::vector<std::string> row{std::to_string(kept.reading.sheet_line), kept.reading.traverse};
      for (std::string& cell : reading_cells(kept.reading))
        row.push_back(std::move(cell));
      row.emplace_back(kept.safety.empty() ? "" : "yes");
      row.push_back(kept.remark);
      rows.push_back(std::move(row));
    }
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
          "  soil clay    judge against the range of clay, too\n"
          "  4 12.5 again: a repeat; the readings of one place count as one, their mean\n"
          "  list, curve, quit\n");
  }

  RecordSession& session_;
  sounding::TypedDefaults defaults_;
  bool is_line_lost_ = false;
};

}  // namespace

int run_dialogue(RecordSession& session, const sounding::TypedDefaults& defaults) {
  return Dialogue(session, defaults).run();
}

}  // namespace ohmroot::cli
