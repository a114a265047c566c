// SPDX-License-Identifier: MIT
#include <ohmroot/text/titled_sheet.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::text {

std::optional<Sheet> read_titled_sheet(std::string_view bytes, const SheetKind& kind,
                                       Diagnostics& diagnostics) {
  Diagnostics found(diagnostics.file());
  Sheet sheet = read_sheet(bytes, found, ',');
  if (found.has_errors()) {
    diagnostics.append(found);
    return std::nullopt;
  }
  const bool is_of_kind =
      !sheet.rows.empty() &&
      std::equal(sheet.rows.front().cells.begin(), sheet.rows.front().cells.end(), kind.titles.begin(),
                 kind.titles.end(), [](const Cell& cell, const char* title) { return cell.text == title; });
  if (!is_of_kind) {
    diagnostics.error({1, 1}, std::string(kind.code),
                      fmt::format("the first line is not that of {}", kind.name),
                      fmt::format("use a file written by '{}', unchanged", kind.writer));
    return std::nullopt;
  }
  return sheet;
}

std::string cell_text(const Row& row, std::size_t column) {
  return column < row.cells.size() ? row.cells[column].text : std::string();
}

}  // namespace ohmroot::text
