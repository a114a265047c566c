// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::text {

/// One cell as it stands in the file (quotes removed, text in UTF-8, surrounding blanks stripped).
struct Cell {
  std::string text;
  Position at;
};

struct Row {
  int line = 0;
  std::vector<Cell> cells;
};

/// A sheet as it comes from a field instrument or a spreadsheet, cut into rows and cells without any
/// meaning yet.
struct Sheet {
  char separator = ',';            ///< ',' ';' tab or '|', as found
  bool has_decimal_comma = false;  ///< only ever true if the separator is not ','
  std::string encoding;            ///< "UTF-8" or "Windows-1252", as found
  std::vector<Row> rows;           ///< blank rows and comment rows (first cell starts with '#') left out
};

/// Cuts a text into a sheet. Strips a byte-order mark; reads UTF-8 strictly, otherwise Windows-1252 with a
/// note; accepts LF, CRLF and CR; quoted cells by RFC 4180; finds the separator by counting over all lines.
/// A decimal comma is accepted only if the separator is not a comma, no cell uses a decimal point (a
/// warning names both if some do), and at least one comma cannot stand between thousands. Rows are as wide
/// as they are written, shorter or longer than the header; columns at the end that are empty in every row
/// are cut off.
/// known_separator is for files that this library wrote itself: nothing is then left to guess.
/// Errors: a quote that never closes, binary data, more than 64 MiB, more than 10000 cells in a row or
/// 5 million in all.
[[nodiscard]] Sheet read_sheet(std::string_view bytes, Diagnostics& diagnostics,
                               std::optional<char> known_separator = std::nullopt);

/// What a cell holds once read as a number.
struct CellNumber {
  enum class Kind { number, empty, over_range, not_a_number } kind = Kind::empty;
  double value = 0.0;   // unit: as the column header says; for over_range the stated bound, or 0
  std::string unit;     ///< unit written in the cell itself ("12.4 ohm", "1.2k"), or empty
  std::string problem;  ///< for not_a_number
};

/// Reads "12.4", "1,24" (decimal comma sheets), "1.2k", "12.4 ohm", "1.2E+01", ">1999" and "OL" (over range),
/// "", "-" and "n/a" (empty). Never guesses "1,234".
[[nodiscard]] CellNumber read_cell_number(const Cell& cell, bool has_decimal_comma);

}  // namespace ohmroot::text
