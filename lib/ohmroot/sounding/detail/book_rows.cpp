// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/book_rows.hpp>
#include <ohmroot/text/journal.hpp>

#include <charconv>

namespace ohmroot::sounding::detail {

const std::vector<std::string>& book_titles() {
  static const std::vector<std::string> all{
      "entry",    "time",     "site",         "traverse",        "array",     "a (m)",
      "AB/2 (m)", "MN/2 (m)", "R (ohm)",      "stake depth (m)", "error (%)", "replaces",
      "question", "answer",   "safe working", "remark",          "accepted"};
  return all;
}

std::optional<char> book_separator(std::string_view bytes) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
  if (bytes.substr(0, byte_order_mark.size()) == byte_order_mark) bytes.remove_prefix(byte_order_mark.size());
  const std::string start = text::csv_line(book_titles());
  return bytes.substr(0, start.size()) == start ? std::optional(',') : std::nullopt;
}

bool is_book(const Header& header) {
  return header.has(ColumnKind::entry) && header.has(ColumnKind::replaces) &&
         header.has(ColumnKind::accepted);
}

std::string_view book_cell(const text::Row& row, const Header& header, ColumnKind kind) {
  const Column* column = header.find(kind);
  return column != nullptr && column->index < row.cells.size()
             ? std::string_view(row.cells[column->index].text)
             : std::string_view();
}

bool is_accepted(const text::Row& row, const Header& header) {
  return book_cell(row, header, ColumnKind::accepted) == accepted_word;
}

int replaced_line(const text::Row& row, const Header& header) {
  const std::string_view text = book_cell(row, header, ColumnKind::replaces);
  if (text.empty()) return 0;
  int line = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), line);
  return read.ec == std::errc{} && read.ptr == text.data() + text.size() && line > 0 ? line : -1;
}

std::map<int, int> superseded_lines(const text::Sheet& sheet, const Header& header) {
  std::map<int, int> by;
  for (const text::Row& row : sheet.rows) {
    const int line = replaced_line(row, header);
    if (line > 0 && line < row.line && is_accepted(row, header)) by.emplace(line, row.line);
  }
  return by;
}

}  // namespace ohmroot::sounding::detail
