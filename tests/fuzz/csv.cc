// SPDX-License-Identifier: MIT
// Fuzzing of the CSV reader; built and run as told in toml.cc, with csv.cc in its place.
#include "fuzz.hpp"

#include <ohmroot/text/csv.hpp>

#include <cmath>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using ohmroot::text::CellNumber;
  const std::string_view text = fuzz::as_text(data, size);
  ohmroot::Diagnostics diagnostics("fuzz.csv");
  const ohmroot::text::Sheet sheet = ohmroot::text::read_sheet(text, diagnostics);
  fuzz::require_inside(diagnostics, text);
  fuzz::require(!sheet.has_decimal_comma || sheet.separator != ',');
  for (const auto& row : sheet.rows) {
    for (const auto& cell : row.cells) {
      fuzz::require(fuzz::is_inside(cell.at, text));
      for (const bool has_decimal_comma : {false, true}) {
        const CellNumber number = ohmroot::text::read_cell_number(cell, has_decimal_comma);
        fuzz::require(std::isfinite(number.value));
        fuzz::require((number.kind == CellNumber::Kind::not_a_number) != number.problem.empty());
      }
    }
  }
  return 0;
}
