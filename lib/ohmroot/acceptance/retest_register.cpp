// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/retest_register.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/journal.hpp>
#include <ohmroot/text/titled_sheet.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::acceptance {
namespace {

enum Cell : std::size_t {
  entry_cell,
  date_cell,
  electrode_cell,
  method_cell,
  measured_cell,
  measured_least_cell,
  measured_greatest_cell,
  month_cell,
  worst_cell,
  worst_least_cell,
  worst_greatest_cell,
  limit_cell,
  verdict_cell,
  tester_cell,
  instrument_cell,
  replaces_cell,
  entered_cell,
  accepted_cell,
  cell_count
};
constexpr std::array<const char*, cell_count> titles{"register entry",
                                                     "date",
                                                     "electrode",
                                                     "method",
                                                     "R on the day (ohm)",
                                                     "least on the day (ohm)",
                                                     "greatest on the day (ohm)",
                                                     "season counts from",
                                                     "worst season (ohm)",
                                                     "least (ohm)",
                                                     "greatest (ohm)",
                                                     "strictest limit (ohm)",
                                                     "verdict",
                                                     "tested by",
                                                     "instrument",
                                                     "replaces",
                                                     "entered",
                                                     "accepted"};
constexpr std::string_view test_entry = "test";
constexpr std::string_view withdrawal_entry = "withdrawal";
constexpr std::string_view no_limit = "none";
constexpr std::string_view accepted_word = "yes";

std::optional<TestVerdict> verdict_of(const std::string& word) {
  for (const TestVerdict verdict : {TestVerdict::pass, TestVerdict::fail, TestVerdict::cannot_tell})
    if (word == verdict_name(verdict)) return verdict;
  return std::nullopt;
}

constexpr text::SheetKind kind{titles, "no-register", "a register of tests", "acceptance --add"};

class Reader {
public:
  Reader(std::string_view bytes, Diagnostics& diagnostics) : bytes_(bytes), diagnostics_(diagnostics) {}

  RetestRegister read() {
    const auto sheet = text::read_titled_sheet(bytes_, kind, diagnostics_);
    if (!sheet) return {};
    for (std::size_t i = 1; i < sheet->rows.size(); ++i)
      read_row(sheet->rows[i]);
    return std::move(register_);
  }

private:
  void error(const text::Row& row, Cell at, const char* code, const std::string& message) {
    const Position place = at < row.cells.size() ? row.cells[at].at : Position{row.line, 1};
    diagnostics_.error(place, code, fmt::format("{}: {}", titles.at(at), message),
                       "use the file as 'acceptance --add' wrote it");
  }

  std::optional<double> number(const text::Row& row, Cell at) {
    const ParsedQuantity parsed = parse_number(text::cell_text(row, at));
    if (parsed.si_value && *parsed.si_value > 0.0) return parsed.si_value;
    error(row, at, "not-positive", fmt::format("\"{}\" is no number above 0", text::cell_text(row, at)));
    return std::nullopt;
  }

  std::optional<Estimate> estimate(const text::Row& row, Cell first) {
    const auto value = number(row, first);
    const auto least = number(row, static_cast<Cell>(first + 1));
    const auto greatest = number(row, static_cast<Cell>(first + 2));
    if (!value || !least || !greatest) return std::nullopt;
    if (*least <= *value && *value <= *greatest) return Estimate{*value, *least, *greatest, "register"};
    error(row, first, "order", "value, least and greatest are not in order");
    return std::nullopt;
  }

  /// Takes the line that this one replaces out of force; false if there is none.
  bool replace(const text::Row& row, bool is_needed) {
    const std::string text = text::cell_text(row, replaces_cell);
    if (text.empty() && !is_needed) return true;
    const ParsedQuantity parsed = parse_number(text);
    const auto old =
        std::find_if(register_.entries.begin(), register_.entries.end(), [&](const RegisterEntry& e) {
          return parsed.si_value && e.sheet_line == *parsed.si_value;
        });
    if (old == register_.entries.end()) {
      error(row, replaces_cell, "nothing-to-replace",
            fmt::format("\"{}\" names no line above that is in force", text));
      return false;
    }
    register_.superseded_lines.push_back(old->sheet_line);
    register_.entries.erase(old);
    return true;
  }

  std::optional<RegisterEntry> entry_in(const text::Row& row) {
    RegisterEntry entry;
    entry.sheet_line = row.line;
    entry.date = text::cell_text(row, date_cell);
    entry.electrode = text::cell_text(row, electrode_cell);
    entry.method = text::cell_text(row, method_cell);
    entry.tester = text::cell_text(row, tester_cell);
    entry.instrument = text::cell_text(row, instrument_cell);
    const auto day = day_of(entry.date);
    if (!day)
      error(row, date_cell, "wrong-date", fmt::format("\"{}\" is no day, as in 2026-10-14", entry.date));
    else if (text::cell_text(row, month_cell) != month_name(day->month))
      error(row, month_cell, "wrong-month",
            fmt::format("\"{}\" is not the month of {}", text::cell_text(row, month_cell), entry.date));
    const auto worst_season_ohm = estimate(row, worst_cell);
    const bool is_measured_kept = !text::cell_text(row, measured_cell).empty();
    if (is_measured_kept) entry.measured_ohm = estimate(row, measured_cell);
    const bool is_limited = text::cell_text(row, limit_cell) != no_limit;
    if (is_limited) entry.strictest_ohm = number(row, limit_cell);
    const auto verdict = verdict_of(text::cell_text(row, verdict_cell));
    if (!verdict)
      error(row, verdict_cell, "wrong-verdict",
            fmt::format("\"{}\" is none", text::cell_text(row, verdict_cell)));
    if (!day || text::cell_text(row, month_cell) != month_name(day->month) || !worst_season_ohm || !verdict ||
        is_measured_kept != entry.measured_ohm.has_value() || is_limited != entry.strictest_ohm.has_value())
      return std::nullopt;
    entry.worst_season_ohm = *worst_season_ohm;
    entry.verdict = *verdict;
    return entry;
  }

  void read_row(const text::Row& row) {
    if (text::cell_text(row, accepted_cell) != accepted_word) {
      diagnostics_.warning({row.line, 1}, "torn-line", "cut off by a crash and never accepted");
      return;
    }
    if (text::cell_text(row, entry_cell) == withdrawal_entry) {
      static_cast<void>(replace(row, true));
      return;
    }
    if (text::cell_text(row, entry_cell) != test_entry) {
      error(row, entry_cell, "unknown-entry",
            fmt::format("\"{}\" is none", text::cell_text(row, entry_cell)));
      return;
    }
    auto entry = entry_in(row);
    if (entry && replace(row, false)) register_.entries.push_back(*std::move(entry));
  }

  std::string_view bytes_;
  Diagnostics& diagnostics_;
  RetestRegister register_;
};

/// A line end in a name would make two lines of one.
std::string one_line(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
  return text;
}

std::string exact(double value) {
  return fmt::format("{}", value);
}

void put(std::vector<std::string>& cells, Cell first, const Estimate& estimate, const char* name) {
  require_positive(fmt::format("{}.least", name), estimate.least, "ohm");
  require_within(fmt::format("{}.value", name), estimate.value, "ohm", {estimate.least, estimate.greatest});
  require_finite(fmt::format("{}.greatest", name), estimate.greatest, "ohm");
  cells[first] = exact(estimate.value);
  cells[first + 1] = exact(estimate.least);
  cells[first + 2] = exact(estimate.greatest);
}

std::vector<std::string> started(std::string_view entry, const std::string& entered_at, int replaces_line) {
  std::vector<std::string> cells(cell_count);
  cells[entry_cell] = entry;
  cells[entered_cell] = entered_at;
  cells[accepted_cell] = accepted_word;
  if (replaces_line > 0) cells[replaces_cell] = std::to_string(replaces_line);
  return cells;
}

bool is_same(const Estimate& a, const Estimate& b) {
  return a.value == b.value && a.least == b.least && a.greatest == b.greatest;
}

}  // namespace

const RegisterEntry* RetestRegister::at(int line) const {
  const auto found = std::find_if(entries.begin(), entries.end(),
                                  [&](const RegisterEntry& e) { return e.sheet_line == line; });
  return found == entries.end() ? nullptr : &*found;
}

const RegisterEntry* RetestRegister::same_as(const RegisterEntry& entry) const {
  const auto found = std::find_if(entries.begin(), entries.end(), [&](const RegisterEntry& e) {
    return e.date == entry.date && e.electrode == one_line(entry.electrode) && e.method == entry.method &&
           e.verdict == entry.verdict && e.strictest_ohm == entry.strictest_ohm &&
           is_same(e.worst_season_ohm, entry.worst_season_ohm) && e.tester == one_line(entry.tester) &&
           e.instrument == one_line(entry.instrument);
  });
  return found == entries.end() ? nullptr : &*found;
}

std::vector<RegisterEntry> RetestRegister::of_electrode(const std::string& name) const {
  std::vector<RegisterEntry> found;
  std::copy_if(entries.begin(), entries.end(), std::back_inserter(found),
               [sought = one_line(name)](const RegisterEntry& e) { return e.electrode == sought; });
  return found;
}

const std::string& retest_register_header() {
  static const std::string header = text::csv_line({titles.begin(), titles.end()});
  return header;
}

RetestRegister read_retest_register(std::string_view bytes, Diagnostics& diagnostics) {
  if (bytes.empty()) return {};
  return Reader(bytes, diagnostics).read();
}

std::string retest_line(const RegisterEntry& entry, const std::string& entered_at, int replaces_line) {
  const auto day = day_of(entry.date);
  if (!day) throw DomainError("entry.date", entry.date, "a day, as in 2026-10-14");
  if (replaces_line < 0) throw DomainError("replaces_line", replaces_line, "", "0 or a line of the register");
  auto cells = started(test_entry, entered_at, replaces_line);
  cells[date_cell] = entry.date;
  cells[electrode_cell] = one_line(entry.electrode);
  cells[method_cell] = one_line(entry.method);
  if (entry.measured_ohm) put(cells, measured_cell, *entry.measured_ohm, "entry.measured_ohm");
  cells[month_cell] = month_name(day->month);
  put(cells, worst_cell, entry.worst_season_ohm, "entry.worst_season_ohm");
  if (entry.strictest_ohm) require_positive("entry.strictest_ohm", *entry.strictest_ohm, "ohm");
  cells[limit_cell] = entry.strictest_ohm ? exact(*entry.strictest_ohm) : std::string(no_limit);
  cells[verdict_cell] = verdict_name(entry.verdict);
  cells[tester_cell] = one_line(entry.tester);
  cells[instrument_cell] = one_line(entry.instrument);
  return text::csv_line(cells);
}

std::string retest_withdrawal_line(const std::string& entered_at, int replaces_line) {
  if (replaces_line <= 0) throw DomainError("replaces_line", replaces_line, "", "a line of the register");
  return text::csv_line(started(withdrawal_entry, entered_at, replaces_line));
}

}  // namespace ohmroot::acceptance
