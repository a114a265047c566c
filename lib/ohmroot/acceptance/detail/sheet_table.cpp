// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/sheet_table.hpp>
#include <ohmroot/core/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

namespace ohmroot::acceptance::detail {
namespace {

constexpr double foot_m = 0.3048;
enum class Column { current, potential, resistance, angle };
constexpr std::size_t column_count = 4;

struct ColumnKind {
  const char* name;
  std::array<const char*, 4> spellings;  // without unit; empty: none
  std::array<const char*, 4> units;      // the first is taken if the heading has none
  Range allowed;                         // SI
};
const std::array<ColumnKind, column_count> kinds{{
    {"current stake", {"current stake", "c", "d", "current stake distance"}, {"m", "ft", "", ""}, {0.1, 1e4}},
    {"potential stake",
     {"potential stake", "p", "potential stake distance", ""},
     {"m", "ft", "", ""},
     {0.1, 1e4}},
    {"R", {"r", "resistance", "reading", ""}, {"ohm", "kohm", "mohm", ""}, {1e-3, 1e6}},
    {"angle", {"angle", "between", "", ""}, {"deg", "degrees", "", ""}, {-180.0, 180.0}},
}};

double factor_of(const std::string& unit) {
  if (unit == "ft") return foot_m;
  if (unit == "kohm") return 1e3;
  if (unit == "mohm") return 1e-3;
  return 1.0;
}

struct Heading {
  std::string word;
  std::string unit;
};

Heading heading_of(const std::string& cell) {
  const std::string text = lower_case(cell);
  const auto open = text.find_first_of("([");
  const auto trimmed = [](std::string part) {
    const auto from = part.find_first_not_of(' ');
    if (from == std::string::npos) return std::string();
    return part.substr(from, part.find_last_not_of(' ') - from + 1);
  };
  if (open == std::string::npos) return {trimmed(text), {}};
  const auto close = text.find_first_of(")]", open);
  return {trimmed(text.substr(0, open)),
          trimmed(text.substr(open + 1, close == std::string::npos ? close : close - open - 1))};
}

std::optional<Column> column_of(const std::string& word) {
  for (std::size_t i = 0; i < column_count; ++i)
    for (const char* spelling : kinds[i].spellings)
      if (!word.empty() && word == spelling) return static_cast<Column>(i);
  return std::nullopt;
}

bool is_unit_of(const ColumnKind& kind, const std::string& unit) {
  return std::any_of(kind.units.begin(), kind.units.end(),
                     [&](const char* known) { return *known != '\0' && unit == known; });
}

struct TableColumn {
  std::size_t at;
  std::string unit;
};
using Columns = std::array<std::optional<TableColumn>, column_count>;

Columns columns_of(const text::Row& row, Diagnostics& diagnostics) {
  Columns columns;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const Heading heading = heading_of(row.cells[i].text);
    const auto column = column_of(heading.word);
    if (!column) continue;
    const ColumnKind& kind = kinds[static_cast<std::size_t>(*column)];
    if (!heading.unit.empty() && !is_unit_of(kind, heading.unit)) {
      diagnostics.error(row.cells[i].at, "wrong-unit",
                        fmt::format("column '{}': unit '{}' is not known", kind.name, heading.unit),
                        fmt::format("use {} or {}", kind.units[0], kind.units[1]));
    }
    columns[static_cast<std::size_t>(*column)] =
        TableColumn{i, heading.unit.empty() ? kind.units[0] : heading.unit};
  }
  return columns;
}

std::optional<double> number_in(const text::Row& row, const TableColumn& column, const ColumnKind& kind,
                                bool has_decimal_comma, Diagnostics& diagnostics) {
  if (column.at >= row.cells.size()) {
    diagnostics.error({row.line, 1}, "missing-cell", fmt::format("the row ends before '{}'", kind.name));
    return std::nullopt;
  }
  const text::Cell& cell = row.cells[column.at];
  const text::CellNumber read = text::read_cell_number(cell, has_decimal_comma);
  if (read.kind != text::CellNumber::Kind::number) {
    const bool is_over = read.kind == text::CellNumber::Kind::over_range;
    diagnostics.error(cell.at, "no-number",
                      fmt::format("{}: '{}' {}", kind.name, cell.text,
                                  is_over ? "is over range: the tester could not show it" : "is no number"),
                      is_over
                          ? "a stake or a lead has no contact: mend it and read again, or leave the row out"
                          : "leave out rows without a reading");
    return std::nullopt;
  }
  const std::string unit = read.unit.empty() ? column.unit : lower_case(read.unit);
  if (!is_unit_of(kind, unit)) {
    diagnostics.error(cell.at, "wrong-unit", fmt::format("{}: unit '{}' is not known", kind.name, unit),
                      fmt::format("use {} or {}", kind.units[0], kind.units[1]));
    return std::nullopt;
  }
  const double value = read.value * factor_of(unit);
  if (!(value >= kind.allowed.least && value <= kind.allowed.greatest)) {
    diagnostics.error(cell.at, "out-of-range",
                      fmt::format("{}: {} {} is outside {} to {} {}", kind.name, read.value, unit,
                                  kind.allowed.least, kind.allowed.greatest, kind.units[0]));
    return std::nullopt;
  }
  return value;
}

}  // namespace

std::string lower_case(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return lower;
}

bool is_heading(const text::Row& row) {
  return std::any_of(row.cells.begin(), row.cells.end(), [](const text::Cell& cell) {
    return column_of(heading_of(cell.text).word) == Column::resistance;
  });
}

std::vector<StakeReading> read_table(const text::Sheet& sheet, std::size_t heading, bool is_one_reading,
                                     Diagnostics& diagnostics) {
  const text::Row& head = sheet.rows[heading];
  const Columns columns = columns_of(head, diagnostics);
  std::vector<StakeReading> readings;
  for (const Column needed : {Column::current, Column::potential}) {
    if (is_one_reading || columns[static_cast<std::size_t>(needed)]) continue;
    diagnostics.error({head.line, 1}, "missing-column",
                      fmt::format("no column '{} (m)'", kinds[static_cast<std::size_t>(needed)].name));
  }
  if (diagnostics.has_errors()) return readings;
  for (std::size_t r = heading + 1; r < sheet.rows.size(); ++r) {
    const text::Row& row = sheet.rows[r];
    std::array<std::optional<double>, column_count> values;
    bool is_whole = true;
    for (std::size_t i = 0; i < column_count; ++i) {
      const bool is_wanted = columns[i] && (!is_one_reading || static_cast<Column>(i) == Column::resistance);
      if (!is_wanted) continue;
      const bool is_empty_angle =
          static_cast<Column>(i) == Column::angle &&
          (columns[i]->at >= row.cells.size() || row.cells[columns[i]->at].text.empty());
      if (is_empty_angle) continue;  // in line
      values[i] = number_in(row, *columns[i], kinds[i], sheet.has_decimal_comma, diagnostics);
      is_whole = is_whole && values[i];
    }
    if (!is_whole) continue;
    const StakeReading reading{values[0].value_or(0.0), values[1].value_or(0.0), *values[2],
                               values[3].value_or(0.0), row.line};
    if (!is_one_reading && reading.between_deg == 0.0 &&
        reading.current_distance_m == reading.potential_distance_m) {
      diagnostics.error({row.line, 1}, "stakes-together", "both stakes stand in the same place",
                        "state the angle between their lines, or correct the distance");
      continue;
    }
    if (!is_one_reading && reading.between_deg == 0.0 &&
        reading.potential_distance_m > reading.current_distance_m)
      diagnostics.warning(
          {row.line, 1}, "stakes-swapped",
          "the potential stake stands beyond the current stake: were the two distances exchanged? "
          "The reading is the same either way and counts, but no curve shows it",
          "exchange the two distances if they were");
    readings.push_back(reading);
  }
  if (readings.empty() && !diagnostics.has_errors())
    diagnostics.error({head.line, 1}, "no-reading", "the table holds no reading");
  return readings;
}

}  // namespace ohmroot::acceptance::detail
