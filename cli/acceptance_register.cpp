// SPDX-License-Identifier: MIT
#include "acceptance_register.hpp"

#include "clock.hpp"
#include "record_session.hpp"
#include "record_words.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/acceptance_json.hpp>
#include <ohmroot/study/as_built.hpp>
#include <ohmroot/text/journal.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <plots/acceptance_figures.hpp>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

using acceptance::RegisterEntry;
using acceptance::RetestAlarm;
using acceptance::RetestRegister;
using acceptance::RetestTrend;

constexpr int lock_wait_ms = 5000;  // unit: ms

std::string path_of(const RegisterOptions& options) {
  return (fs::path(options.site).parent_path() / register_name).string();
}

/// Why a date is none that a test can have; empty if it is not after today.
std::string future_words(const std::string& date) {
  if (date <= today()) return {};
  return fmt::format("{} is after today, which by this device's clock is {}", date, today());
}

RetestRegister read_register(const std::string& path, std::string_view bytes, bool as_json) {
  Diagnostics found(path);
  RetestRegister in_force = acceptance::read_retest_register(bytes, found);
  for (const RegisterEntry& entry : in_force.entries) {
    if (const std::string future = future_words(entry.date); !future.empty())
      found.warning(
          {entry.sheet_line, 1}, "future-date", "date: " + future,
          fmt::format("the trend counts it there: if the date is wrong, --withdraw {} and enter the "
                      "mended sheet; if it is right, set the clock",
                      entry.sheet_line));
  }
  report_diagnostics(found, as_json);
  return in_force;
}

/// A register held open.
class RegisterSession {
public:
  explicit RegisterSession(const RegisterOptions& options)
      : journal_(path_of(options), {acceptance::retest_register_header(), lock_wait_ms}) {
    heed_size_limit();
    read(options.as_json);
  }

  [[nodiscard]] const RetestRegister& in_force() const { return in_force_; }

  int keep(const RegisterEntry& entry, int replaces_line) {
    require_in_force(replaces_line, "corrected");
    return add(acceptance::retest_line(entry, local_time(), replaces_line));
  }
  int withdraw(int line) {
    require_in_force(line, "withdrawn");
    return add(acceptance::retest_withdrawal_line(local_time(), line));
  }

private:
  void require_in_force(int line, const char* what) const {
    if (line > 0 && in_force_.at(line) == nullptr)
      throw CommandError(bad_data, fmt::format("{}: line {} holds no test in force that could be {}",
                                               journal_.file().string(), line, what));
  }
  int add(const std::string& line) {
    const int number = journal_.append(line);
    Diagnostics found(journal_.file().string());  // torn lines have been told of
    in_force_ = acceptance::read_retest_register(journal_.content(), found);
    return number;
  }
  void read(bool as_json) {
    in_force_ = read_register(journal_.file().string(), journal_.content(), as_json);
  }

  text::Journal journal_;
  RetestRegister in_force_;
};

template <class Action>
auto guarded(const Action& action) {
  try {
    return action();
  } catch (const text::JournalError& error) {
    throw CommandError(static_cast<ExitCode>(exit_code_of(error.fault())), error.what());
  }
}

/// Perhaps the same test from a mended sheet: both are kept, and whoever entered them decides.
void warn_of_same_day(const RetestRegister& in_force, const RegisterEntry& entry, int replaces_line) {
  for (const RegisterEntry& known : in_force.of_electrode(entry.electrode)) {
    if (known.date != entry.date || known.method != entry.method || known.sheet_line == replaces_line)
      continue;
    std::cerr << fmt::format("ohmroot: warning: line {0} of the register is a test of the same day by the "
                             "same method; if this is that "
                             "test from a mended sheet, take the old one out: --withdraw {0}\n",
                             known.sheet_line);
  }
}

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

std::vector<std::string> electrodes_in(const RetestRegister& in_force) {
  std::vector<std::string> names;
  for (const RegisterEntry& entry : in_force.entries)
    if (std::find(names.begin(), names.end(), entry.electrode) == names.end())
      names.push_back(entry.electrode);
  return names;
}

/// As wide as a small screen: the lower ends and who tested are in the file.
std::string listed(const std::vector<RegisterEntry>& entries) {
  std::vector<std::vector<std::string>> rows{
      {"line", "date", "on the day", "worst season", "up to", "limit then", "verdict"}};
  for (const RegisterEntry& entry : entries)
    rows.push_back({std::to_string(entry.sheet_line), entry.date,
                    entry.measured_ohm ? ohms(entry.measured_ohm->value) : "not kept",
                    ohms(entry.worst_season_ohm.value), ohms(entry.worst_season_ohm.greatest),
                    entry.strictest_ohm ? ohms(*entry.strictest_ohm) : "none",
                    acceptance::verdict_name(entry.verdict)});
  return table(rows);
}

void draw_trend(const RegisterOptions& options, const std::vector<RegisterEntry>& entries, double limit_ohm) {
  if (!options.trend_figure.empty())
    draw_figure(options.trend_figure, plots::retest_figure(entries, limit_ohm),
                "the register holds one test only");
}

double limit_today_ohm(const RegisterOptions& options) {
  const study::Site site =
      read_site_document(options.site, {.soil = false, .loads = true, .candidates = false}, options.as_json);
  const auto all = supply::requirements({site.supply, site.loads, site.limit_v});
  return study::strictest_limit_ohm(supply::span_of(all));
}

}  // namespace

acceptance::TestSheet read_test(const std::string& path, bool as_json) {
  Diagnostics diagnostics(path);
  auto sheet = acceptance::read_test_sheet(read_input(path), diagnostics);
  if (sheet) {
    if (const std::string future = future_words(sheet->date); !future.empty())
      diagnostics.error(sheet->date_at, "future-date", "date: " + future,
                        "mend the date; if it is right, this device's clock is wrong: set it and try again");
  }
  report_diagnostics(diagnostics, as_json);
  if (!sheet) throw InternalError(path + ": no sheet and no error");
  return *std::move(sheet);
}

EnteredTest enter_test(const RegisterOptions& options, const RegisterEntry& entry, double limit_ohm) {
  return guarded([&] {
    RegisterSession session(options);
    EnteredTest entered;
    const RegisterEntry* known = session.in_force().same_as(entry);
    if (known != nullptr && options.correct_line == 0) {
      entered.line = known->sheet_line;
      entered.was_there = true;
    } else {
      warn_of_same_day(session.in_force(), entry, options.correct_line);
      entered.line = session.keep(entry, options.correct_line);
    }
    const auto entries = session.in_force().of_electrode(session.in_force().at(entered.line)->electrode);
    draw_trend(options, entries, limit_ohm);
    entered.trend = acceptance::retest_trend(entries, limit_ohm);
    return entered;
  });
}

std::string entered_text(const EnteredTest& entered) {
  return fmt::format("\nRegister ({} test{})\n", entered.trend.test_count,
                     entered.trend.test_count == 1 ? "" : "s") +
         item(fmt::format("Line {} of {} {}.", entered.line, register_name,
                          entered.was_there ? "holds this test already" : "is on disk")) +
         item(entered.trend.sentence);
}

void tell_register(const RegisterOptions& options, Outcome& outcome) {
  const std::string path = path_of(options);
  int withdrawal_line = 0;
  if (options.withdraw_line > 0) {
    read_register(path, read_input(path), options.as_json);  // no register is made for taking a line out
    withdrawal_line = guarded([&] { return RegisterSession(options).withdraw(options.withdraw_line); });
  }
  const RetestRegister in_force = read_register(path, read_input(path), options.as_json);
  const double limit_ohm = limit_today_ohm(options);
  std::string text;
  text::Array trends;
  bool is_pressing = false;
  bool is_open = in_force.entries.empty();
  for (const std::string& electrode : electrodes_in(in_force)) {
    const auto entries = in_force.of_electrode(electrode);
    const RetestTrend trend = acceptance::retest_trend(entries, limit_ohm);
    is_pressing = is_pressing || acceptance::is_pressing(trend.alarm);
    is_open = is_open || trend.alarm == RetestAlarm::cannot_tell;
    text += fmt::format("\n{}\n", electrode) + listed(entries) + said(trend.sentence, 2);
    text::Value document = report::retest_document(trend);
    document.set("electrode", electrode);
    document.set("tests", report::register_document(entries));
    trends.push_back(std::move(document));
  }
  if (!in_force.entries.empty())
    draw_trend(options, in_force.of_electrode(in_force.entries.back().electrode), limit_ohm);
  outcome.exit_code = is_pressing ? not_met : is_open ? undecided : met;
  if (options.as_json) {
    text::Value document;
    if (withdrawal_line > 0) document.set("register_line", withdrawal_line);
    document.set("electrodes", std::move(trends));
    return print(text::write_json(document));
  }
  if (withdrawal_line > 0)
    print(fmt::format("line {} is on disk: line {} is withdrawn\n", withdrawal_line, options.withdraw_line));
  print(in_force.entries.empty() ? std::string("The register holds no test in force.\n") : text);
}

std::vector<RegisterEntry> registered_tests(const std::string& site_file, const std::string& electrode) {
  RegisterOptions options;
  options.site = site_file;
  const std::string path = path_of(options);
  if (site_file == "-" || !fs::exists(path)) return {};
  return read_register(path, read_input(path), false).of_electrode(electrode);
}

void draw_figure(const std::string& path, const std::optional<plots::FigureScript>& figure,
                 const std::string& why_there_may_be_none) {
  if (!figure) {
    std::cerr << "ohmroot: warning: no figure: " << why_there_may_be_none << '\n';
    return;
  }
  const plots::Rendering drawn = plots::render_svg(*figure);
  if (drawn.status == plots::RenderStatus::drawn) return write_file(path, drawn.svg);
  std::cerr << "ohmroot: warning: the figure is missing: " << drawn.why << '\n';
}

}  // namespace ohmroot::cli
