// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/columns.hpp>
#include <ohmroot/text/csv.hpp>

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding::detail {

inline constexpr std::string_view entry_reading = "reading";
inline constexpr std::string_view entry_correction = "correction";
inline constexpr std::string_view entry_withdrawal = "withdrawal";
inline constexpr std::string_view entry_safety = "safe working";
inline constexpr std::string_view accepted_word = "yes";

/// Titles of the columns of a field book, in their order.
[[nodiscard]] const std::vector<std::string>& book_titles();

/// The comma if the text begins as a field book does: what stands in its remarks must not make a reader guess.
[[nodiscard]] std::optional<char> book_separator(std::string_view bytes);

/// Whether a row of titles is that of a field book: its lines say what they are, which earlier one they
/// supersede, and, in their last cell, that they were written to their end.
[[nodiscard]] bool is_book(const Header& header);

[[nodiscard]] std::string_view book_cell(const text::Row& row, const Header& header, ColumnKind kind);
[[nodiscard]] bool is_accepted(const text::Row& row, const Header& header);
/// Line that the row supersedes; 0 for none, -1 for a cell that is no number of a line.
[[nodiscard]] int replaced_line(const text::Row& row, const Header& header);

/// Lines that accepted rows supersede, with the line that does.
[[nodiscard]] std::map<int, int> superseded_lines(const text::Sheet& sheet, const Header& header);

}  // namespace ohmroot::sounding::detail
