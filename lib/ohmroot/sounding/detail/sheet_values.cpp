// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/sheet_values.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <cmath>
#include <utility>
#include <vector>

namespace ohmroot::sounding::detail {
namespace {

/// Mean of the single values; over range if one is, by the greatest bound.
Found mean_of_repeats(const text::Row& row, SheetCells& cells, FourPoleReading* reading) {
  Found mean;
  std::vector<double> values_ohm;
  for (const Column& column : cells.header().columns) {
    if (column.kind != ColumnKind::repeat) continue;
    const Found found = cells.number_in(row, column);
    if (found.is_refused() || found.is_over_range()) return found;
    if (found.is_number()) values_ohm.push_back(found.si_value);
    if (found.is_number() && !mean.is_number()) mean = found;
  }
  if (values_ohm.empty()) return {Found::State::empty, 0.0, {row.line, 1}};
  mean.si_value = 0.0;
  for (const double value_ohm : values_ohm)
    mean.si_value += value_ohm / static_cast<double>(values_ohm.size());
  if (reading != nullptr && values_ohm.size() > 1) reading->repeats_ohm = std::move(values_ohm);
  return mean;
}

/// The value with the current reversed, its sign turned back; nothing if the sheet has none.
Found reversed(const text::Row& row, SheetCells& cells) {
  const Found shown = cells.number(row, ColumnKind::reversed_resistance);
  if (!shown.is_missing()) return {shown.state, std::abs(shown.si_value), shown.at};
  const Found voltage = cells.number(row, ColumnKind::reversed_voltage);
  const Found own_current = cells.number(row, ColumnKind::reversed_current);
  if (voltage.is_missing()) return voltage;
  const Found current = own_current.is_missing() ? cells.number(row, ColumnKind::current) : own_current;
  if (!voltage.is_number() || !current.is_number()) return {Found::State::refused, 0.0, voltage.at};
  // Both signs written: the ratio as it stands. The voltage's alone, or none: the current's is left out.
  const double ratio_ohm = current.si_value < 0.0 ? voltage.si_value / current.si_value
                                                  : std::abs(voltage.si_value) / current.si_value;
  return {Found::State::number, ratio_ohm, voltage.at};
}

}  // namespace

bool take_polarity(const text::Row& row, SheetCells& cells, FourPoleReading& reading) {
  const Found back = reversed(row, cells);
  if (back.is_missing() || back.is_over_range()) return true;
  if (back.is_refused()) return false;
  const double mean_ohm = 0.5 * (reading.resistance_ohm + back.si_value);
  if (!(mean_ohm > 0.0)) {
    cells.refuse(
        back.at, "not-positive",
        fmt::format("the two ways of the current give {} and {}: their mean must be greater than 0",
                    format_quantity(reading.resistance_ohm, Dimension::resistance),
                    format_quantity(back.si_value, Dimension::resistance)),
        "a stray voltage is greater than the reading: repeat with more current or another frequency");
    return false;
  }
  reading.polarity = {reading.resistance_ohm, back.si_value};
  reading.resistance_ohm = mean_ohm;
  return true;
}

Found resistance_of(const text::Row& row, SheetCells& cells, std::optional<FourPoleReading>& geometry) {
  if (cells.header().has(ColumnKind::resistance)) {
    const Found found = cells.number(row, ColumnKind::resistance);
    if (!found.is_missing() || !cells.header().has(ColumnKind::repeat)) return found;
  }
  if (cells.header().has(ColumnKind::repeat))
    return mean_of_repeats(row, cells, geometry ? &*geometry : nullptr);
  if (cells.header().has(ColumnKind::voltage) && cells.header().has(ColumnKind::current)) {
    const Found voltage = cells.number(row, ColumnKind::voltage);
    const Found current = cells.number(row, ColumnKind::current);
    if (voltage.is_refused() || current.is_refused()) return {Found::State::refused, 0.0, voltage.at};
    if (voltage.is_missing() && current.is_missing()) return voltage;
    if (voltage.is_missing() || current.is_missing())
      return cells.refuse({row.line, 1}, "missing-reading",
                          fmt::format("this row has {} but not {}", voltage.is_missing() ? "I" : "V",
                                      voltage.is_missing() ? "V" : "I"),
                          "give both, or leave both empty");
    if (voltage.is_over_range() && current.is_number() && voltage.si_value > 0.0)
      return {Found::State::over_range, voltage.si_value / current.si_value, voltage.at};
    if (voltage.is_over_range() || current.is_over_range())
      return {Found::State::over_range, 0.0, voltage.at};
    return {Found::State::number, voltage.si_value / current.si_value, voltage.at};
  }
  Found found = cells.number(row, ColumnKind::resistivity);
  if (found.is_number() || found.is_over_range()) {
    if (!geometry) return {Found::State::refused, 0.0, found.at};
    found.si_value /=
        geometric_factor_m(*geometry);  // the driven depth has not been set: stakes at the surface
  }
  return found;
}

}  // namespace ohmroot::sounding::detail
