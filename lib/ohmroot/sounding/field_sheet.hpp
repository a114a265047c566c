// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding {

/// What the sheet itself may not say. Columns in the sheet win over these.
struct SheetDefaults {
  std::optional<Array> array;  ///< without it the columns must tell (a, or AB/2 and MN/2)
  double driven_depth_m = 0.0;
  StakeContact contact = StakeContact::bare;
  double relative_error_ratio = 0.05;
};

/// A row that gave no reading, and why. Nothing is dropped in silence.
struct SkippedRow {
  int line = 0;
  std::string why;
  bool is_over_range = false;         ///< the tester could not show it: a bound, never 0
  double over_range_above_ohm = 0.0;  ///< the bound, if stated
};

struct FieldSheet {
  std::vector<FourPoleReading> readings;
  std::vector<SkippedRow> skipped;
  std::vector<std::string> notes;  ///< how it was read: separator, decimal mark, encoding, columns, units
  int data_row_count = 0;          ///< rows that should have held a reading
};

/// Reads a field sheet (CSV as exported by spreadsheets and loggers). The header is found by its column
/// names wherever it stands; what precedes it is kept as notes. Columns, in any order and with their unit
/// in the header ("a (m)", "R [ohm]", "V / mV", "I (mA)", "AB/2", "MN/2", "depth (cm)", "error (%)",
/// "traverse", "array"). R, or V and I. The long form only: one reading per row.
/// Errors (file:line:column, what was found, what is allowed, how to mend it): no header, no spacing
/// column, neither R nor V and I, a cell that is no number, a negative or zero spacing or resistance,
/// fewer than one reading. Warnings: skipped rows (empty, over range, totals and averages), stakes deeper
/// than a fifth of the spacing.
[[nodiscard]] FieldSheet read_field_sheet(std::string_view bytes, const SheetDefaults& defaults,
                                          Diagnostics& diagnostics);

/// What a row looks like against its neighbours; each with a sentence the tech can act on.
struct ReadingDoubt {
  std::size_t reading_index;
  std::string sentence;
};

/// Checks that no layered earth can explain away: apparent resistivity over spacing must not grow with the
/// spacing (Wenner), a row far off the line of its neighbours, stakes too deep for the spacing.
[[nodiscard]] std::vector<ReadingDoubt> doubtful_readings(const std::vector<FourPoleReading>& readings);

}  // namespace ohmroot::sounding
