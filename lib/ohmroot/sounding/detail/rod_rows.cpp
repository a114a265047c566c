// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/rod_rows.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

std::string metres(double length_m) {
  return format_quantity(length_m, Dimension::length);
}

/// A distance of a stake from the rod; false if it was refused.
bool read_stake(const text::Row& row, SheetCells& cells, ColumnKind kind, std::optional<double>& distance_m) {
  const Found found = cells.number(row, kind);
  if (found.is_number()) distance_m = found.si_value;
  return !found.is_refused();
}

bool are_stakes_in_order(const text::Row& row, SheetCells& cells, const DrivenRodReading& reading) {
  const auto& current_m = reading.current_stake_distance_m;
  const auto& potential_m = reading.potential_stake_distance_m;
  if (!current_m && !potential_m) return true;
  if (!current_m || !potential_m) {
    cells.refuse({row.line, 1}, "missing-stake", "a driven rod needs both stakes of its test, or neither",
                 "give the distances of the current and of the potential stake from the rod");
    return false;
  }
  if (*potential_m > reading.diameter_m && *potential_m < *current_m) return true;
  cells.refuse(
      cells.position(row, ColumnKind::rod_potential_stake), "wrong-order",
      fmt::format("the potential stake stands at {} and the current stake at {}; it must stand between the "
                  "rod and that",
                  metres(*potential_m), metres(*current_m)),
      "check whether the two columns were swapped");
  return false;
}

}  // namespace

bool is_rod_row(const text::Row& row, const SheetCells& cells) {
  bool has_length = false;
  for (const Column& column : cells.header().columns) {
    if (!is_spacing(column.kind)) continue;
    const text::Cell* source = cells.cell(row, column.kind);
    if (source == nullptr || source->text.empty()) continue;
    if (column.kind != ColumnKind::rod_length) return false;  // four stakes, which may be called rods, too
    has_length = true;
  }
  return has_length;
}

bool is_of_rods_alone(const Header& header) {
  return header.has(ColumnKind::rod_length) &&
         std::none_of(header.columns.begin(), header.columns.end(), [](const Column& column) {
           return is_spacing(column.kind) && column.kind != ColumnKind::rod_length;
         });
}

bool check_rod_columns(const Header& header, Diagnostics& diagnostics) {
  const Column* length = header.find(ColumnKind::rod_length);
  if (!is_of_rods_alone(header)) return true;
  if (!header.has(ColumnKind::rod_diameter)) {
    diagnostics.error(length->at, "no-diameter-column", "rods are given without their diameter",
                      "add a column \"rod diameter (mm)\"");
    return false;
  }
  if (!header.has_resistance()) {
    diagnostics.error(length->at, "no-reading-column", "a driven rod has a resistance, not a resistivity",
                      "add a column \"R (ohm)\", or both \"V (mV)\" and \"I (mA)\"");
    return false;
  }
  return true;
}

std::optional<DrivenRodReading> rod_of_row(const text::Row& row, SheetCells& cells) {
  const Found length = cells.number(row, ColumnKind::rod_length);
  const Found diameter = cells.number(row, ColumnKind::rod_diameter);
  if (length.is_refused() || diameter.is_refused()) return std::nullopt;
  if (!length.is_number() || !diameter.is_number()) {
    cells.refuse({row.line, 1}, "missing-rod", "a driven rod needs its driven length and its diameter",
                 "give both in every row");
    return std::nullopt;
  }
  DrivenRodReading reading;
  reading.driven_length_m = length.si_value;
  reading.diameter_m = diameter.si_value;
  reading.sheet_line = row.line;
  if (const text::Cell* name = cells.cell(row, ColumnKind::rod_name)) reading.rod = name->text;
  if (!(reading.diameter_m < reading.driven_length_m)) {
    cells.refuse(diameter.at, "implausible",
                 fmt::format("the rod's diameter is {} and its driven length {}; the diameter must be less",
                             metres(reading.diameter_m), metres(reading.driven_length_m)),
                 "check the units of the two columns");
    return std::nullopt;
  }
  const bool is_current_good =
      read_stake(row, cells, ColumnKind::rod_current_stake, reading.current_stake_distance_m);
  const bool is_potential_good =
      read_stake(row, cells, ColumnKind::rod_potential_stake, reading.potential_stake_distance_m);
  if (!is_current_good || !is_potential_good || !are_stakes_in_order(row, cells, reading))
    return std::nullopt;
  return reading;
}

}  // namespace ohmroot::sounding::detail
