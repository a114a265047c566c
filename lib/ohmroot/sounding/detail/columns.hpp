// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/csv.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding::detail {

/// What a column of a field sheet holds.
enum class ColumnKind {
  spacing,                 ///< a of a Wenner array
  half_current_spacing,    ///< AB/2
  current_spacing,         ///< AB
  half_potential_spacing,  ///< MN/2
  potential_spacing,       ///< MN
  place_of_a,              ///< coordinates of the stakes: along the first axis
  place_of_b,
  place_of_m,
  place_of_n,
  offset_of_a,  ///< and across it
  offset_of_b,
  offset_of_m,
  offset_of_n,
  rod_length,  ///< of a driven rod, as deep as it stands
  resistance,
  voltage,
  current,
  resistivity,          ///< apparent, computed in the field
  reversed_resistance,  ///< the current reversed
  reversed_voltage,
  reversed_current,
  repeat,              ///< one of several values of R, each in a column of its own
  contact_resistance,  ///< greatest of the stakes, as the tester shows it
  potential_offset,    ///< of the middle of MN from that of AB
  separation_factor,   ///< n of a dipole-dipole array, gap over dipole length
  rod_diameter,
  rod_current_stake,    ///< from a driven rod that is tested
  rod_potential_stake,  ///< likewise
  depth,                ///< driven depth of the stakes
  error,
  traverse,
  rod_name,
  array,
  entry,     ///< of a field book: what the line is
  replaces,  ///< of a field book: the line that this one supersedes
  accepted,  ///< of a field book: written to its end
};

[[nodiscard]] bool is_spacing(ColumnKind kind);
[[nodiscard]] bool is_number(ColumnKind kind);
[[nodiscard]] Dimension dimension_of(ColumnKind kind);

/// A unit of a field sheet: factor to SI, and whether its ohm sign was lost on the way ("R (?)").
struct SheetUnit {
  Dimension dimension;
  double si_per_unit;  // unit: SI unit of the dimension per unit written
  bool is_ohm_sign_lost = false;
};

/// Reads a unit as people write it in a sheet ("m", "Feet", "k?", "milliohm", "%"), or nothing. Mega is not
/// taken: in a field sheet it is a milli typed in capitals.
[[nodiscard]] std::optional<SheetUnit> read_sheet_unit(std::string_view text, ColumnKind kind);

/// Units accepted in a column, for messages.
[[nodiscard]] std::string_view accepted_sheet_units(ColumnKind kind);

/// One recognised column.
struct Column {
  ColumnKind kind;
  std::size_t index;
  Position at;
  std::string title;              ///< as it stands in the sheet
  std::optional<SheetUnit> unit;  ///< stated in the header or in the row of units below it
  std::string unknown_unit;       ///< stated but not known; empty if there is none
};

/// A row of column titles.
struct Header {
  std::size_t row_count = 1;  ///< 2 if a row of units follows
  Position at;
  std::vector<Column> columns;
  std::vector<Column> repeated;     ///< second columns of a kind that has one already
  std::vector<std::string> unused;  ///< titles without a meaning here

  [[nodiscard]] const Column* find(ColumnKind kind) const;
  [[nodiscard]] bool has(ColumnKind kind) const { return find(kind) != nullptr; }
  [[nodiscard]] bool has_spacing() const;
  [[nodiscard]] bool has_reading() const;
  /// R itself, or V and I: not just an apparent resistivity.
  [[nodiscard]] bool has_resistance() const;
};

/// What the row holds if it is read as a header; the next row is looked at for units.
[[nodiscard]] Header header_from(const std::vector<text::Row>& rows, std::size_t row);

}  // namespace ohmroot::sounding::detail
