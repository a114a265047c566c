// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/csv.hpp>

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace ohmroot::text {

/// A sheet that the program writes itself: its columns, and what is said of a file that is none.
struct SheetKind {
  std::span<const char* const> titles;
  std::string_view code;    ///< of the error
  std::string_view name;    ///< "a drive book"
  std::string_view writer;  ///< the command that writes it
};

/// The sheet, separated by commas. Nothing, with an error, if it cannot be cut or if its first line is not that of its
/// kind.
[[nodiscard]] std::optional<Sheet> read_titled_sheet(std::string_view bytes, const SheetKind& kind,
                                                     Diagnostics& diagnostics);

/// Empty where the row has no such cell.
[[nodiscard]] std::string cell_text(const Row& row, std::size_t column);

}  // namespace ohmroot::text
