// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/log_columns.hpp>
#include <ohmroot/text/csv.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <set>
#include <utility>

namespace ohmroot::supply::detail {

namespace {

/// Words of a column's name in lower case; digits stand apart from letters: "kWh_L1" is kwh, l, 1.
std::vector<std::string> words_of(std::string_view name) {
  std::vector<std::string> words;
  const auto kind = [](unsigned char c) { return std::isdigit(c) ? 2 : std::isalpha(c) || c >= 128 ? 1 : 0; };
  int before = 0;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    const int now = kind(byte);
    if (now != 0 && now != before) words.emplace_back();
    if (now != 0) words.back() += static_cast<char>(std::tolower(byte));
    before = now;
  }
  return words;
}

struct Named {
  LogColumn column;
  bool lacks_unit = false;
};

Named named_column(std::string_view name, const LoadLogQuestion& question) {
  const std::vector<std::string> list = words_of(name);
  const std::set<std::string> words(list.begin(), list.end());
  const auto has = [&words](std::initializer_list<const char*> any) {
    return std::any_of(any.begin(), any.end(), [&](const char* word) { return words.count(word) > 0; });
  };
  Named named;
  if (has({"time", "timestamp", "datetime", "date"})) {
    named.column.quantity = LogQuantity::time;
    return named;
  }
  if (has({"v", "volt", "volts", "voltage", "u", "kwh", "kva", "thd", "hz", "n", "neutral", "kvarh", "max",
           "min", "maximum", "minimum", "peak"}))
    return named;
  for (const int phase : {1, 2, 3}) {
    if (words.count(std::to_string(phase)) > 0) named.column.phase = named.column.phase == 0 ? phase : 4;
  }
  if (named.column.phase == 0 && question.supply.phase_count == 1) named.column.phase = 1;
  if (named.column.phase == 0 || named.column.phase > question.supply.phase_count) return named;
  const double per_power_a = 1.0 / question.supply.nominal_v;
  const auto is = [&named](LogQuantity quantity, double scale) {
    named.column.quantity = quantity;
    named.column.scale = scale;
    return named;
  };
  if (has({"kvar"})) return is(LogQuantity::reactive, 1000.0 * per_power_a);
  if (has({"var"})) return is(LogQuantity::reactive, per_power_a);
  if (has({"pf", "cos", "cosphi"}) || (has({"power"}) && has({"factor"})))
    return is(LogQuantity::power_factor, 1.0);
  if (has({"kw"})) return is(LogQuantity::current, 1000.0 * per_power_a);
  if (has({"w"})) return is(LogQuantity::current, per_power_a);
  if (has({"ma"})) return is(LogQuantity::current, 0.001);
  if (has({"a", "amp", "amps", "ampere"})) return is(LogQuantity::current, 1.0);
  if (!has({"i", "l", "current", "phase", "ph"})) return named;
  switch (question.unit) {
  case LogUnit::stated_in_header:
    named.lacks_unit = true;
    return is(LogQuantity::current, 1.0);
  case LogUnit::ampere:
    return is(LogQuantity::current, 1.0);
  case LogUnit::milliampere:
    return is(LogQuantity::current, 0.001);
  case LogUnit::kilowatt:
    return is(LogQuantity::current, 1000.0 * per_power_a);
  }
  return named;
}

/// Of two columns with a time the one that is called a date and no time is that of the other.
void pair_date_and_time(LogHeader& header, const text::Row& row) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < header.columns.size(); ++i)
    if (header.columns[i].quantity == LogQuantity::time) found.push_back(i);
  if (found.size() != 2) return;
  const auto is_called = [&](std::size_t column, const char* word) {
    const std::vector<std::string> words = words_of(row.cells[column].text);
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  for (const auto& [date, time] : {std::pair{found[0], found[1]}, std::pair{found[1], found[0]}})
    if (is_called(date, "date") && !is_called(date, "time") && is_called(time, "time") &&
        !is_called(time, "date"))
      header.columns[date].quantity = LogQuantity::date;
}

/// Columns that say the same phase twice, or none at all, with what is missing.
bool is_complete(const LogHeader& header, const text::Row& row, const LoadLogQuestion& question,
                 Diagnostics& diagnostics) {
  std::array<int, 3> count{};
  int time_count = 0;
  for (const LogColumn& column : header.columns) {
    if (column.quantity == LogQuantity::time) ++time_count;
    if (column.quantity == LogQuantity::current) ++count[static_cast<std::size_t>(column.phase - 1)];
  }
  bool is_good = true;
  const auto refuse = [&](const std::string& message, const std::string& hint) {
    diagnostics.error({row.line, 1}, "log-columns", message, hint);
    is_good = false;
  };
  if (time_count != 1) {
    refuse(fmt::format("{} columns with a time, where one is needed", time_count),
           "name it 'time'; a date of its own may stand in a column named 'date' beside it");
  }
  for (int phase = 1; phase <= question.supply.phase_count; ++phase) {
    const int found = count[static_cast<std::size_t>(phase - 1)];
    if (found == 1) continue;
    refuse(found == 0 ? fmt::format("phase {} is missing: no column holds its current or power", phase)
                      : fmt::format("{} columns hold the current or power of phase {}", found, phase),
           found == 0 ? fmt::format("name it 'L{} (A)', or say --phases 1 if the supply has one phase", phase)
                      : "name the ones that do not count as 'max' or 'voltage', or leave them out");
  }
  return is_good;
}

}  // namespace

std::optional<LogHeader> read_log_header(std::string_view first_lines, const LoadLogQuestion& question,
                                         Diagnostics& diagnostics) {
  Diagnostics cutting(diagnostics.file());
  const text::Sheet sheet = text::read_sheet(first_lines, cutting);
  if (cutting.has_errors()) {
    diagnostics.append(cutting);
    return std::nullopt;
  }
  for (const text::Row& row : sheet.rows) {
    LogHeader header;
    header.line = row.line;
    header.separator = sheet.separator;
    header.decimal_mark = sheet.has_decimal_comma ? ',' : '.';
    std::optional<Position> without_unit;
    bool has_time = false;
    std::size_t last = 0;
    for (const text::Cell& cell : row.cells) {
      const Named named = named_column(cell.text, question);
      header.columns.push_back(named.column);
      if (named.column.quantity == LogQuantity::ignored) continue;
      last = header.columns.size();
      has_time = has_time || named.column.quantity == LogQuantity::time;
      if (named.lacks_unit && !without_unit) without_unit = cell.at;
      if (!header.words.empty()) header.words += ", ";
      header.words += named.column.quantity == LogQuantity::time
                          ? fmt::format("'{}' time", cell.text)
                          : fmt::format("'{}' phase {}", cell.text, named.column.phase);
      const auto k = static_cast<std::size_t>(std::max(1, named.column.phase) - 1);
      if (named.column.quantity == LogQuantity::reactive) header.has_reactive[k] = true;
      if (named.column.quantity == LogQuantity::power_factor) header.has_power_factor[k] = true;
    }
    header.columns.resize(last);
    if (!has_time || row.cells.size() < 2) continue;
    pair_date_and_time(header, row);
    if (!is_complete(header, row, question, diagnostics)) return std::nullopt;
    if (without_unit) {
      diagnostics.error(*without_unit, "log-unit", "the column states no unit",
                        "write it in the header, as in 'L1 (A)', or give --unit A, mA or kW");
      return std::nullopt;
    }
    return header;
  }
  if (sheet.rows.empty())
    diagnostics.error({}, "log-empty", "the file is empty");
  else
    diagnostics.error({sheet.rows.front().line, 1}, "log-header", "no line names the columns",
                      "the line above the data must name them, as in 'time,L1 (A),L2 (A),L3 (A)'");
  return std::nullopt;
}

}  // namespace ohmroot::supply::detail
