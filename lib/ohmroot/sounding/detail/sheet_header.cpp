// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/rod_rows.hpp>
#include <ohmroot/sounding/detail/sheet_cells.hpp>
#include <ohmroot/sounding/detail/sheet_header.hpp>

#include <fmt/format.h>

namespace ohmroot::sounding::detail {
namespace {

/// V and I, an error and a lone resistivity mean nothing without a unit; R is in ohm as testers show it, and
/// metres are taken for a spacing with a warning.
bool needs_unit(ColumnKind kind, const Header& header) {
  if (kind == ColumnKind::rod_diameter) return is_of_rods_alone(header);
  if (kind == ColumnKind::error || kind == ColumnKind::reversed_voltage ||
      kind == ColumnKind::reversed_current)
    return true;
  if (kind == ColumnKind::resistivity) return !header.has_resistance();
  return (kind == ColumnKind::voltage || kind == ColumnKind::current) && !header.has(ColumnKind::resistance);
}

std::string_view usual_unit(ColumnKind kind) {
  switch (kind) {
  case ColumnKind::voltage:
    return "mV";
  case ColumnKind::current:
    return "mA";
  case ColumnKind::resistivity:
    return "ohm m";
  case ColumnKind::error:
    return "%";
  case ColumnKind::rod_diameter:
    return "mm";
  default:
    return "m";
  }
}

void report_unknown_unit(const Column& column, Diagnostics& diagnostics) {
  const bool is_resistivity_as_resistance =
      column.kind == ColumnKind::resistance &&
      read_sheet_unit(column.unknown_unit, ColumnKind::resistivity).has_value();
  diagnostics.error(column.at, "wrong-unit",
                    fmt::format("column \"{}\" is in \"{}\"; {} may be in {}", column.title,
                                column.unknown_unit, noun(column.kind), accepted_sheet_units(column.kind)),
                    is_resistivity_as_resistance
                        ? "if it holds the apparent resistivity, name it \"rho (ohm m)\""
                        : "correct the unit in the header");
}

}  // namespace

bool is_header(const Header& header) {
  return header.has_spacing() && header.has_reading();
}

std::optional<std::size_t> header_row(const text::Sheet& sheet) {
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    if (is_header(header_from(sheet.rows, i))) return i;
  }
  return std::nullopt;
}

void report_missing_header(const text::Sheet& sheet, Diagnostics& diagnostics) {
  constexpr std::string_view example = "name the columns in one row, for instance: a (m), R (ohm)";
  Header closest;
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    const Header header = header_from(sheet.rows, i);
    if (header.columns.size() > closest.columns.size() || closest.at.line == 0) closest = header;
  }
  const bool has_voltage_or_current = closest.has(ColumnKind::voltage) || closest.has(ColumnKind::current);
  if (closest.has_reading() || (has_voltage_or_current && !closest.has_spacing())) {
    diagnostics.error(closest.at, "no-spacing-column",
                      "no spacing column: found readings but neither a, nor AB/2 and MN/2",
                      "add a column \"a (m)\", or \"AB/2 (m)\" and \"MN/2 (m)\"");
  } else if (closest.has_spacing() && (closest.columns.size() > 1 || sheet.rows.size() > 1)) {
    const std::string found = has_voltage_or_current ? "only one of V and I" : "neither R nor V and I";
    diagnostics.error(closest.at, "no-reading-column", fmt::format("no column of readings: {}", found),
                      "add a column \"R (ohm)\", or both \"V (mV)\" and \"I (mA)\"");
  } else {
    diagnostics.error({}, "no-header",
                      sheet.rows.empty() ? "the sheet holds no rows"
                                         : "no row names a spacing column and a column of readings",
                      std::string(example));
  }
}

void check_units(const Header& header, Diagnostics& diagnostics) {
  for (const Column& column : header.columns) {
    if (!column.unknown_unit.empty()) {
      report_unknown_unit(column, diagnostics);
    } else if (!column.unit && needs_unit(column.kind, header)) {
      diagnostics.error(column.at, "no-unit",
                        fmt::format("column \"{}\" has no unit; {} may be in {}", column.title,
                                    noun(column.kind), accepted_sheet_units(column.kind)),
                        fmt::format("write it into the header, for instance \"{} ({})\"", column.title,
                                    usual_unit(column.kind)));
    } else if (!column.unit && dimension_of(column.kind) == Dimension::length && is_number(column.kind)) {
      diagnostics.warning(column.at, "no-unit",
                          fmt::format("column \"{}\" has no unit: metres are taken", column.title),
                          fmt::format("write it into the header: \"{0} (m)\" or \"{0} (ft)\"", column.title));
    }
  }
  for (const Column& column : header.repeated)
    diagnostics.error(column.at, "repeated-column",
                      fmt::format("\"{}\" is a second column of {} (the first is \"{}\")", column.title,
                                  noun(column.kind), header.find(column.kind)->title),
                      "write one reading per row; put the line or the repeat into a column \"traverse\"");
}

std::vector<std::string> header_notes(const Header& header) {
  std::vector<std::string> notes;
  std::string columns;
  for (const Column& column : header.columns)
    columns += (columns.empty() ? "" : "; ") + column_words(column);
  notes.push_back(fmt::format("line {}: {}", header.at.line, columns));
  for (const Column& column : header.columns) {
    if (column.unit && column.unit->is_ohm_sign_lost)
      notes.push_back(fmt::format("the unit of \"{}\" was read as an ohm sign lost in export", column.title));
  }
  if (header.unused.empty()) return notes;
  std::string unused;
  for (const std::string& title : header.unused)
    unused += fmt::format("{}\"{}\"", unused.empty() ? "" : ", ", title);
  notes.push_back("columns not used: " + unused);
  return notes;
}

}  // namespace ohmroot::sounding::detail
