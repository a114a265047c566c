// SPDX-License-Identifier: MIT
#include "clock.hpp"
#include "command.hpp"
#include "record_session.hpp"
#include "record_words.hpp"
#include "safe_working_dialogue.hpp"

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/acceptance/drive_book.hpp>
#include <ohmroot/acceptance/drive_doubts.hpp>
#include <ohmroot/acceptance/driving.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/parts.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/soil_draws.hpp>
#include <ohmroot/text/journal.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <iostream>
#include <limits>
#include <memory>
#include <plots/driving_figure.hpp>

namespace ohmroot::cli {
namespace {

using acceptance::DriveAdvice;
using acceptance::DriveLine;
using sounding::DrivenRodReading;

constexpr int one_line_wait_ms = 5000;  // unit: ms
constexpr std::size_t soil_count = 400;

struct DriveOptions {
  std::string site;
  std::string book;
  std::string add;
  std::string rod;
  std::string figure;
  std::vector<std::string> answers;
  std::optional<double> diameter_m;
  std::optional<double> section_m;
  std::optional<double> target_ohm;
  std::optional<double> refusal_m;
  int section_count = 0;
  int correct_line = 0;
  int withdraw_line = 0;
  bool as_json = false;

  [[nodiscard]] bool is_one_line() const {
    return !add.empty() || refusal_m.has_value() || withdraw_line > 0 || !answers.empty() || as_json ||
           !figure.empty();
  }
};

/// What holds for the whole drive.
struct DriveJob {
  std::vector<earth::LayeredSoil> soils;
  acceptance::DrivenRod rod;
  double target_ohm = 0.0;
  std::string target_basis;
  std::optional<design::Prices> prices;
};

/// Whether more than the strictest limit would do is for the study; a drive is for being sure.
double target_of(const study::Site& site, std::string& basis) {
  const auto all = supply::requirements({site.supply, site.loads, site.limit_v});
  const supply::RequirementSpan span = supply::span_of(all);
  if (span.strictest == nullptr || span.has_uncovered)
    throw CommandError(bad_data,
                       "drive: the resistance needed cannot be decided from the site file; state --target");
  acceptance::Criterion criterion;
  const bool is_limited = span.strictest->outcome == supply::RequirementOutcome::limited;
  if (!is_limited)
    throw CommandError(bad_data,
                       fmt::format("drive: {}; state --target if a rod is driven all the same",
                                   span.strictest->outcome == supply::RequirementOutcome::none_needed
                                       ? "no electrode is needed for these loads"
                                       : "no electrode suffices for these loads"));
  criterion.strictest_ohm = span.strictest->resistance_ohm;
  criterion.most_lenient_ohm = span.most_lenient->outcome == supply::RequirementOutcome::limited
                                   ? span.most_lenient->resistance_ohm
                                   : std::numeric_limits<double>::infinity();
  criterion.earthing_conductor_ohm = site.earthing_conductor_ohm;
  for (const study::OtherEarthPath& path : site.other_paths) {
    if (path.is_relied_on) criterion.relied_on_conductance_per_ohm += 1.0 / path.resistance_ohm;
  }
  if (site.season)
    criterion.season = acceptance::Criterion::Season{site.season->least_ratio, site.season->greatest_ratio,
                                                     site.season->basis};
  const acceptance::AcceptanceValue value = acceptance::acceptance_value(criterion);
  if (!value.accept_below_ohm || !(*value.accept_below_ohm > 0.0))
    throw CommandError(bad_data, fmt::format("drive: no target: {}; state --target", value.expression));
  basis =
      fmt::format("{}; season counted from {}", value.expression,
                  site.month_of_measurement.empty() ? "the month of measurement" : site.month_of_measurement);
  return *value.accept_below_ohm;
}

DriveJob job_of(const study::Site& site, const DriveOptions& options) {
  DriveJob job;
  if (!site.soil)
    throw CommandError(bad_data, "drive: the site file has no [soil]: there is nothing to forecast from");
  job.soils = study::soil_draws(site, study::soil_picture(site), soil_count);
  job.rod = {0.016, 1.2, 4};
  if (site.design) {
    const design::Parts& parts = site.design->parts;
    job.rod = {parts.rod_diameter_m, parts.rod_section_m,
               std::max(1, static_cast<int>(parts.greatest_drive_m / parts.rod_section_m + 1e-9))};
    job.prices = site.design->prices;
  } else if (site.land && site.land->drivable_depth_m > 0.0) {
    job.rod.greatest_section_count =
        std::max(1, static_cast<int>(site.land->drivable_depth_m / job.rod.section_m + 1e-9));
  }
  if (options.section_count > 0) job.rod.greatest_section_count = options.section_count;
  job.rod.section_m = options.section_m.value_or(job.rod.section_m);
  job.rod.diameter_m = options.diameter_m.value_or(job.rod.diameter_m);
  if (options.target_ohm) {
    job.target_ohm = *options.target_ohm;
    job.target_basis = "as stated";
  } else {
    job.target_ohm = target_of(site, job.target_basis);
  }
  return job;
}

/// The answer after the lines that are in.
struct DriveAnswer {
  std::vector<DrivenRodReading> readings;
  acceptance::DriveForecast forecast;
  acceptance::DriveDecision decision;
  std::optional<acceptance::SecondRod> second;
  std::vector<acceptance::DriveDoubt> doubts;
};

double section_cost(const design::Prices& prices, double section_m) {
  return prices.section + prices.coupler + prices.driving_per_m * section_m;
}

DriveAnswer answer_of(const DriveJob& job, const acceptance::DriveBook& book, const std::string& rod) {
  DriveAnswer answer;
  answer.readings = book.readings(rod);
  answer.doubts =
      acceptance::drive_doubts(answer.readings, job.rod.greatest_section_count * job.rod.section_m);
  const acceptance::DriveTable table = acceptance::drive_table(
      job.soils, job.rod.diameter_m, acceptance::drive_lengths_m(job.rod, answer.readings));
  answer.forecast = acceptance::forecast_drive(table, answer.readings, job.target_ohm);
  const DriveLine* refused = nullptr;
  for (const DriveLine& line : book.lines) {
    if (line.reading.rod == rod && line.is_refusal) refused = &line;
  }
  if (refused != nullptr) {
    answer.decision = {DriveAdvice::stop_danger,
                       acceptance::refusal_alarm(refused->reading.driven_length_m).sentence};
    return answer;
  }
  if (const auto alarm = acceptance::drive_alarm(table, answer.readings)) {
    answer.decision = {DriveAdvice::stop_danger, alarm->sentence};
    return answer;
  }
  std::optional<acceptance::DriveCosts> costs;
  if (!answer.readings.empty()) {
    answer.second = acceptance::second_rod(table, answer.readings, job.soils.front(), job.target_ohm);
    if (job.prices) {
      costs = acceptance::DriveCosts{section_cost(*job.prices, job.rod.section_m)};
      const double sections = std::ceil(answer.readings.back().driven_length_m / job.rod.section_m - 1e-9);
      answer.second->cost =
          sections * costs->section + job.prices->head +
          answer.readings.back().driven_length_m * (job.prices->trench_per_m + job.prices->conductor_per_m);
    }
  }
  answer.decision =
      acceptance::decide_drive(answer.forecast, answer.readings, job.target_ohm, answer.second, costs);
  return answer;
}

std::string doubts_text(const std::vector<acceptance::DriveDoubt>& doubts) {
  std::string text = "DOUBTFUL\n";
  for (const acceptance::DriveDoubt& doubt : doubts)
    text += item(doubt.sentence);
  return text + "  A slip of the pen? correct LINE depth=... m, or R=... ohm\n";
}

std::string answer_text(const DriveAnswer& answer) {
  std::string text = fmt::format("\n  {}\n", acceptance::advice_name(answer.decision.advice));
  text += said(answer.decision.sentence, 2);
  if (answer.decision.advice == DriveAdvice::stop_danger) return text;  // nothing else is said
  if (!answer.doubts.empty()) text = doubts_text(answer.doubts) + text;
  if (answer.forecast.is_widened)
    text += said("What was known of the soil does not explain these readings: the forecast is widened, and "
                 "less sure than "
                 "it looks.",
                 2);
  std::vector<std::vector<std::string>> rows{{"depth", "forecast 90 %", "chance"}};
  for (const acceptance::LengthForecast& at : answer.forecast.ahead)
    rows.push_back(
        {format_quantity(at.length_m, Dimension::length),
         fmt::format("{} to {}", format_quantity(at.resistance_ohm.least, Dimension::resistance, 2),
                     format_quantity(at.resistance_ohm.greatest, Dimension::resistance, 2)),
         fmt::format("{:.0f} %", 100.0 * at.probability_ratio)});
  if (rows.size() > 1) text += table(rows);
  return text;
}

text::Value answer_document(const DriveJob& job, const DriveAnswer& answer) {
  text::Value document;
  document.set("advice", acceptance::advice_name(answer.decision.advice));
  document.set("sentence", answer.decision.sentence);
  document.set("target_ohm", job.target_ohm);
  document.set("target_basis", job.target_basis);
  if (answer.decision.advice == DriveAdvice::stop_danger) return document;
  document.set("probability_ratio", answer.forecast.probability_ratio);
  if (answer.second) document.set("second_rod_probability_ratio", answer.second->probability_ratio);
  document.set("effective_soil_count", answer.forecast.effective_soil_count);
  document.set("widened", answer.forecast.is_widened);
  text::Array doubts;
  for (const acceptance::DriveDoubt& doubt : answer.doubts) {
    text::Value row;
    row.set("line", doubt.sheet_line);
    row.set("sentence", doubt.sentence);
    doubts.push_back(std::move(row));
  }
  document.set("doubts", std::move(doubts));
  text::Array ahead;
  for (const acceptance::LengthForecast& at : answer.forecast.ahead) {
    text::Value row;
    row.set("length_m", at.length_m);
    row.set("least_ohm", at.resistance_ohm.least);
    row.set("value_ohm", at.resistance_ohm.value);
    row.set("greatest_ohm", at.resistance_ohm.greatest);
    row.set("probability_ratio", at.probability_ratio);
    ahead.push_back(std::move(row));
  }
  document.set("ahead", std::move(ahead));
  return document;
}

int exit_code_of(DriveAdvice advice) {
  switch (advice) {
  case DriveAdvice::stop_met:
    return met;
  case DriveAdvice::stop_danger:
  case DriveAdvice::stop_hopeless:
    return not_met;
  default:
    return undecided;
  }
}

/// A drive book held open.
class DriveSession {
public:
  DriveSession(const std::string& file, int wait_ms, std::string site)
      : journal_(file, {acceptance::drive_book_header(), wait_ms}), site_(std::move(site)) {
    heed_size_limit();
    read();
    clock_doubt_ = cli::clock_doubt(book_.safety.last_stamp.time);
  }

  [[nodiscard]] const acceptance::DriveBook& book() const { return book_; }
  [[nodiscard]] sounding::BookStamp stamp() const { return {local_time(), site_}; }
  [[nodiscard]] int torn_line() const { return journal_.torn_line(); }
  /// Against the book as it was found; lines of this session are marked with it.
  [[nodiscard]] const std::string& clock_doubt() const { return clock_doubt_; }

  int keep(DriveLine line, int replaces_line) {
    if (replaces_line > 0 && book_.at(replaces_line) == nullptr)
      throw CommandError(bad_data,
                         fmt::format("line {} holds nothing that could be corrected", replaces_line));
    line.stamp = stamp();
    line.remark = marked_remark(line.remark, clock_doubt_);
    return add(acceptance::section_line(book_, line, replaces_line));
  }
  int withdraw(int line) {
    if (book_.at(line) == nullptr)
      throw CommandError(bad_data, fmt::format("line {} holds nothing that could be withdrawn", line));
    return add(acceptance::withdrawal_line(stamp(), line));
  }
  void answer(sounding::SafetyQuestion question, sounding::SafetyAnswer given) {
    add(acceptance::answer_line(stamp(), question, given));
  }

private:
  int add(const std::string& line) {
    const int number = journal_.append(line);
    read();
    return number;
  }
  void read() {
    Diagnostics found(journal_.file().string());
    book_ = acceptance::read_drive_book(journal_.content(), found);
    Diagnostics errors(journal_.file().string());
    for (const Diagnostic& d : found.all()) {
      if (d.severity == Severity::error) errors.error(d.at, d.code, d.message, d.hint);
    }
    report_diagnostics(errors, false);
  }

  text::Journal journal_;
  std::string site_;
  std::string clock_doubt_;
  acceptance::DriveBook book_;
};

/// "depth=1.2 m R=80 ohm note=wet", or "1.2 80" where a prompt says so. A line that is corrected lends what is not typed.
DriveLine typed_line(const std::string& words, const DriveLine& defaults, bool takes_bare_numbers) {
  const auto gap = words.find(' ');
  if (takes_bare_numbers && gap != std::string::npos && words.find('=') == std::string::npos)
    return typed_line(fmt::format("depth={} m R={} ohm", words.substr(0, gap), words.substr(gap + 1)),
                      defaults, false);
  DriveLine line = defaults;
  const std::array<std::string_view, 4> keys{"depth", "R", "error", "note"};
  std::vector<std::pair<std::size_t, std::string_view>> found;
  for (const std::string_view key : keys) {
    const std::string sought = std::string(key) + "=";
    auto at = words.find(sought);
    while (at != std::string::npos && at > 0 && words[at - 1] != ' ')
      at = words.find(sought, at + 1);
    if (at != std::string::npos) found.emplace_back(at, key);
  }
  std::sort(found.begin(), found.end());
  if (found.empty() || found.front().first != 0)
    throw CommandError(
        usage, fmt::format("'{}' is no section; write \"depth=1.2 m R=80 ohm\" (also error=, note=)", words));
  for (std::size_t i = 0; i < found.size(); ++i) {
    const auto from = found[i].first + found[i].second.size() + 1;
    const auto to = i + 1 < found.size() ? found[i + 1].first : words.size();
    std::string value = words.substr(from, to - from);
    value.erase(value.find_last_not_of(' ') + 1);
    if (found[i].second == "note") {
      line.remark = value;
      continue;
    }
    const Dimension dimension = found[i].second == "depth" ? Dimension::length
                                : found[i].second == "R"   ? Dimension::resistance
                                                           : Dimension::ratio;
    const ParsedQuantity parsed = parse_quantity(value, dimension);
    if (!parsed.si_value)
      throw CommandError(usage, fmt::format("{}{}{}{}", found[i].second,
                                            parsed.problem.front() == '"'
                                                ? ": " + parsed.problem
                                                : fmt::format(" is \"{}\": it {}", value, parsed.problem),
                                            parsed.hint.empty() ? "" : "; ", parsed.hint));
    if (!(*parsed.si_value > 0.0))
      throw CommandError(usage, fmt::format("{} is \"{}\"; it must be a {} above 0 with its unit",
                                            found[i].second, value, dimension_name(dimension)));
    (found[i].second == "depth" ? line.reading.driven_length_m
     : found[i].second == "R"   ? line.reading.resistance_ohm
                                : line.reading.relative_error_ratio) = *parsed.si_value;
  }
  if (!(line.reading.driven_length_m > 0.0)) throw CommandError(usage, "the depth is missing: depth=1.2 m");
  if (!(line.reading.resistance_ohm > 0.0)) throw CommandError(usage, "the reading is missing: R=80 ohm");
  if (line.reading.relative_error_ratio > 1.0) throw CommandError(usage, "the error must be at most 100 %");
  if (!(line.reading.driven_length_m > line.reading.diameter_m))
    throw CommandError(usage, "the depth is less than the rod's diameter; check its unit");
  return line;
}

std::string kept_words(int number, const DriveLine& line) {
  return fmt::format("line {} is on disk: {} at {}\n", number,
                     line.is_refusal ? "rod stopped"
                                     : format_quantity(line.reading.resistance_ohm, Dimension::resistance),
                     format_quantity(line.reading.driven_length_m, Dimension::length));
}

/// What a new line starts from; refuses a depth that is in the book already.
DriveLine fresh_line(const DriveJob& job, const std::string& rod) {
  DriveLine line;
  line.reading.rod = rod;
  line.reading.diameter_m = job.rod.diameter_m;
  return line;
}

void require_new_depth(const acceptance::DriveBook& book, const DriveLine& line, int replaces_line) {
  for (const DriveLine& known : book.lines) {
    const bool is_same = known.reading.rod == line.reading.rod && known.line != replaces_line &&
                         !known.is_refusal &&
                         std::abs(known.reading.driven_length_m - line.reading.driven_length_m) < 1e-3;
    if (is_same)
      throw CommandError(usage, fmt::format("{} is in the book already (line {}); correct that line",
                                            format_quantity(line.reading.driven_length_m, Dimension::length),
                                            known.line));
  }
}

void keep_typed(DriveSession& session, const DriveJob& job, const std::string& rod, const std::string& words,
                int replaces_line, bool takes_bare_numbers) {
  DriveLine defaults = fresh_line(job, rod);
  if (replaces_line > 0) {
    const DriveLine* old = session.book().at(replaces_line);
    if (old == nullptr)
      throw CommandError(bad_data,
                         fmt::format("line {} holds nothing that could be corrected", replaces_line));
    defaults = *old;
    defaults.is_refusal = false;
  }
  const DriveLine line = typed_line(words, defaults, takes_bare_numbers);
  require_new_depth(session.book(), line, replaces_line);
  print(kept_words(session.keep(line, replaces_line), line));
}

void keep_refusal(DriveSession& session, const DriveJob& job, const std::string& rod, double depth_m) {
  DriveLine line = fresh_line(job, rod);
  line.is_refusal = true;
  line.reading.driven_length_m = depth_m;
  print(kept_words(session.keep(line, 0), line));
}

int run_dialogue(DriveSession& session, const DriveJob& job, const std::string& rod) {
  bool is_line_lost = false;
  const auto guarded = [&](const std::function<void()>& action) {
    try {
      action();
    } catch (const CommandError& error) {
      if (error.code() != bad_data && error.code() != usage) throw;
      print(said(error.what(), 2));
    } catch (const DomainError& error) {
      print(said(error.what(), 2));
    } catch (const text::JournalError& error) {
      is_line_lost = true;
      std::cerr << "NOT KEPT, write it on paper: " << error.what() << '\n';
    }
  };
  print(said(fmt::format("Target today {}: {}", format_quantity(job.target_ohm, Dimension::resistance),
                         job.target_basis)));
  if (session.torn_line() > 0)
    print(said(fmt::format("Line {} was cut off by a crash and never accepted. Type it again.",
                           session.torn_line())));
  if (!session.clock_doubt().empty()) print(said(session.clock_doubt()));
  ask_safe_working(session.book().safety.open_questions(session.stamp(), sounding::Work::driving),
                   [&](sounding::SafetyQuestion question, sounding::SafetyAnswer answer) {
                     guarded([&] { session.answer(question, answer); });
                   });
  DriveAnswer answer = answer_of(job, session.book(), rod);
  print(answer_text(answer));
  print("\nAfter each section: '1.2 80' (depth in m, reading in ohm).\n"
        "Also: stopped 2.1 (the rod stopped all at once), correct LINE R=... ohm,\n"
        "withdraw LINE, list, quit.\n");
  while (const auto typed = asked("depth and reading: ")) {
    if (*typed == "quit" || *typed == "q") break;
    if (typed->empty()) continue;
    guarded([&] {
      const auto gap = typed->find(' ');
      const std::string word = typed->substr(0, gap);
      const std::string rest = gap == std::string::npos ? std::string() : typed->substr(gap + 1);
      const auto number = [&](const std::string& text) {
        const ParsedQuantity parsed = parse_number(text);
        if (!parsed.si_value || !(*parsed.si_value > 0.0))
          throw CommandError(usage, fmt::format("'{}' is no number above 0", text));
        return *parsed.si_value;
      };
      if (word == "list") {
        std::vector<std::vector<std::string>> rows{{"line", "rod", "depth", "R", "safe working"}};
        for (const DriveLine& line : session.book().lines)
          rows.push_back({std::to_string(line.line), line.reading.rod,
                          format_quantity(line.reading.driven_length_m, Dimension::length),
                          line.is_refusal
                              ? "stopped"
                              : format_quantity(line.reading.resistance_ohm, Dimension::resistance),
                          line.safety.empty() ? "" : "marked"});
        return print(table(rows));
      }
      if (word == "stopped") {
        keep_refusal(session, job, rod, number(rest));
      } else if (word == "withdraw") {
        const int line = static_cast<int>(number(rest));
        print(fmt::format("line {} is on disk: line {} is withdrawn\n", session.withdraw(line), line));
      } else if (word == "correct") {
        const auto second = rest.find(' ');
        if (second == std::string::npos)
          throw CommandError(usage, "what is right? as in: correct 3 R=76 ohm");
        keep_typed(session, job, rod, rest.substr(second + 1),
                   static_cast<int>(number(rest.substr(0, second))), false);
      } else {
        keep_typed(session, job, rod, *typed, 0, true);
      }
      answer = answer_of(job, session.book(), rod);
      print(answer_text(answer));
    });
  }
  print("\nAll of it is on disk.\n");
  return is_line_lost ? static_cast<int>(write_failed) : exit_code_of(answer.decision.advice);
}

void write_figure(const DriveAnswer& answer, const DriveJob& job, const std::string& path) {
  const bool is_danger = answer.decision.advice == DriveAdvice::stop_danger;  // then nothing is forecast
  const plots::Rendering drawn = plots::render_svg(plots::driving_figure(
      is_danger ? acceptance::DriveForecast{} : answer.forecast, answer.readings, job.target_ohm));
  if (drawn.status == plots::RenderStatus::drawn) return write_file(path, drawn.svg);
  std::cerr << "ohmroot: warning: the figure is missing: " << drawn.why << '\n';
}

void run_drive(const DriveOptions& options, Outcome& outcome) {
  const study::Site site = read_site_document(
      options.site, {.soil = true, .loads = !options.target_ohm, .candidates = false}, options.as_json);
  const DriveJob job = job_of(site, options);
  try {
    DriveSession session(options.book, options.is_one_line() ? one_line_wait_ms : 0, site.reference);
    const std::string rod = !options.rod.empty()              ? options.rod
                            : session.book().last_rod.empty() ? "1"
                                                              : session.book().last_rod;
    if (!options.is_one_line()) {
      outcome.exit_code = run_dialogue(session, job, rod);
      return;
    }
    if (!options.as_json && !session.clock_doubt().empty()) print(said(session.clock_doubt()));
    for (const std::string& words : options.answers) {
      const GivenAnswer given = read_given_answer(words, "drive");
      session.answer(given.question, given.answer);
    }
    if (options.withdraw_line > 0)
      print(fmt::format("line {} is on disk: line {} is withdrawn\n", session.withdraw(options.withdraw_line),
                        options.withdraw_line));
    if (!options.add.empty()) keep_typed(session, job, rod, options.add, options.correct_line, false);
    if (options.refusal_m) keep_refusal(session, job, rod, *options.refusal_m);
    const DriveAnswer answer = answer_of(job, session.book(), rod);
    if (!options.figure.empty()) write_figure(answer, job, options.figure);
    outcome.exit_code = exit_code_of(answer.decision.advice);
    const std::string mark = session.book().safety.safety_mark(session.stamp(), sounding::Work::driving);
    if (options.as_json) {
      text::Value document = answer_document(job, answer);
      document.set("safe_working", mark);
      document.set("clock_doubt", session.clock_doubt());
      return print(text::write_json(document));
    }
    if (!mark.empty())
      print(said("Safe working, not answered with yes: " + mark + ". The lines are marked."));
    print(answer_text(answer));
  } catch (const text::JournalError& error) {
    throw CommandError(static_cast<ExitCode>(cli::exit_code_of(error.fault())), error.what());
  } catch (const DomainError& error) {
    throw CommandError(bad_data, fmt::format("drive: {}", error.what()));
  }
}

}  // namespace

void add_drive(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<DriveOptions>();
  CLI::App* command = app.add_subcommand(
      "drive",
      "Drive a rod section by section: what the next one will give, the chance of the target, when to stop");
  command
      ->add_option("site", options->site, "site file: what is known of the soil, and the resistance needed")
      ->required();
  command->add_option("book", options->book, "the drive book (CSV); made if it is not there")->required();
  command->add_option("--add", options->add, "one section, as \"depth=1.2 m R=80 ohm\"; nothing is asked");
  add_quantity(*command, "--stopped", options->refusal_m, Dimension::length,
               "depth at which the rod stopped all at once");
  command
      ->add_option("--correct", options->correct_line,
                   "with --add: the line that the section takes the place of")
      ->check(CLI::Range(1, 1000000));
  command->add_option("--withdraw", options->withdraw_line, "the line that counts no longer")
      ->check(CLI::Range(1, 1000000));
  command->add_option("--answer", options->answers,
                      "an answer on safe working for today, as \"weather safe: yes\"; once for each");
  command->add_option("--rod", options->rod, "name of the rod; else that of the last line, else '1'");
  add_quantity(*command, "--diameter", options->diameter_m, Dimension::length,
               "of the rod; else that of [design.parts], else 16 mm");
  add_quantity(*command, "--section", options->section_m, Dimension::length,
               "length of a section; else that of [design.parts], else 1.2 m");
  command
      ->add_option("--sections", options->section_count,
                   "how many can be driven; else by the depth in the site file")
      ->check(CLI::Range(1, 100));
  add_quantity(
      *command, "--target", options->target_ohm, Dimension::resistance,
      "resistance that the rod has to read today; else by loads, season and conductor of the site file");
  command->add_option("--figure", options->figure, "write the driving log with its forecast (SVG)");
  command->add_flag("--json", options->as_json, "print the answer as JSON");
  command->footer(
      help_footer(
          {"ohmroot drive cli/demo/workshop/site.toml build/home/drive.csv --target \"20 ohm\" --add "
           "\"depth=1.2 m R=90 ohm\"",
           "ohmroot drive cli/demo/workshop/site.toml build/home/drive.csv --target \"20 ohm\" --json"}) +
      "\n      0 the target is met, 1 stop: danger, or it will not be met here, 2 anything else. Without "
      "--add, --stopped,\n"
      "      --answer, --withdraw, --figure or --json it asks.");
  command->callback([options, &outcome] { run_drive(*options, outcome); });
}

}  // namespace ohmroot::cli
