// SPDX-License-Identifier: MIT
#include <ohmroot/text/csv.hpp>
#include <ohmroot/text/detail/ascii.hpp>
#include <ohmroot/text/detail/utf8.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <optional>

namespace ohmroot::text {
namespace {

using detail::excerpt;
using detail::in_lower_case;
using detail::is_ascii;
using detail::is_digit;
using detail::is_letter;
using detail::starts_with;

constexpr std::size_t greatest_size = std::size_t{64} << 20;
constexpr std::size_t greatest_cell_count = 5'000'000;  // bounds memory, far beyond any field sheet
constexpr std::size_t greatest_row_width = 10'000;
constexpr auto npos = std::string_view::npos;

// Marks between thousands that are nothing else: no-break, narrow and thin space, two apostrophes.
constexpr std::array<std::string_view, 5> thousands_marks{"\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x89", "'",
                                                          "\xE2\x80\x99"};
constexpr std::string_view minus_sign = "\xE2\x88\x92";

/// Without blanks and line breaks at both ends, no-break spaces among them.
std::string_view stripped(std::string_view text) {
  constexpr std::array<std::string_view, 2> wide_blanks{"\xC2\xA0", "\xE2\x80\xAF"};
  for (std::size_t size = text.size() + 1; size != text.size();) {
    size = text.size();
    text = detail::stripped(text);
    for (const std::string_view blank : wide_blanks) {
      if (starts_with(text, blank)) text.remove_prefix(blank.size());
      if (text.size() >= blank.size() && text.substr(text.size() - blank.size()) == blank)
        text.remove_suffix(blank.size());
    }
  }
  return text;
}

// --- Cutting -------------------------------------------------------------------------------------------

/// Cuts a text into rows with a given separator; blank rows and comment rows are passed over.
class RowReader {
public:
  RowReader(std::string_view text, char separator) : text_(text), separator_(separator), cursor_(text) {}

  /// Fills the next row; false at the end of the text.
  bool next(Row& row) {
    while (!cursor_.is_at_end()) {
      row.cells.clear();
      row.line = cursor_.at().line;
      is_cut_cleanly_ = true;
      skip_blanks();
      if (cursor_.peek() == '#') {
        skip_line();
        continue;
      }
      read_cells(row.cells);
      const bool has_content = std::any_of(row.cells.begin(), row.cells.end(),
                                           [](const Cell& cell) { return !cell.text.empty(); });
      if (has_content && !starts_with(row.cells.front().text, "#")) return true;
    }
    return false;
  }

  /// Whether no quoted cell of the last row went on behind its closing quote.
  [[nodiscard]] bool is_cut_cleanly() const { return is_cut_cleanly_; }
  /// Where a quote opens that never closes.
  [[nodiscard]] std::optional<Position> unclosed_quote() const { return unclosed_quote_; }

private:
  [[nodiscard]] bool is_line_end() const { return cursor_.peek() == '\n' || cursor_.peek() == '\r'; }
  [[nodiscard]] bool is_cell_end() const {
    return cursor_.is_at_end() || is_line_end() || cursor_.peek() == separator_;
  }

  void skip_blanks() {
    while (!cursor_.is_at_end() && !is_cell_end() && (cursor_.peek() == ' ' || cursor_.peek() == '\t'))
      cursor_.step();
  }

  void skip_line() {
    while (!cursor_.is_at_end() && !is_line_end())
      cursor_.step();
    skip_line_end();
  }

  void skip_line_end() {
    const bool is_cr = cursor_.peek() == '\r';
    cursor_.step();
    if (is_cr && cursor_.peek() == '\n') cursor_.step();
  }

  void read_cells(std::vector<Cell>& cells) {
    while (true) {
      Cell cell = read_cell();
      if (cells.size() <= greatest_row_width)
        cells.push_back(std::move(cell));  // the rest is an error anyway
      if (cursor_.is_at_end()) return;
      if (is_line_end()) return skip_line_end();
      cursor_.step();  // the separator
    }
  }

  Cell read_cell() {
    skip_blanks();
    const Position at = cursor_.at();
    const bool is_quoted = cursor_.peek() == '"';
    std::string content = is_quoted ? read_quoted() : std::string();
    const std::size_t start = cursor_.offset();
    while (!is_cell_end())
      cursor_.step();
    const std::string_view bare = text_.substr(start, cursor_.offset() - start);
    if (is_quoted && !stripped(bare).empty()) is_cut_cleanly_ = false;
    content += bare;
    return {std::string(stripped(content)), at};
  }

  std::string read_quoted() {
    const Position open = cursor_.at();
    std::string content;
    cursor_.step();
    while (!cursor_.is_at_end()) {
      const std::size_t start = cursor_.offset();
      while (!cursor_.is_at_end() && cursor_.peek() != '"')
        cursor_.step();
      content += text_.substr(start, cursor_.offset() - start);
      if (cursor_.is_at_end()) break;
      cursor_.step();
      if (cursor_.peek() != '"') return content;
      content += '"';  // a doubled quote is one quote
      cursor_.step();
    }
    if (!unclosed_quote_) unclosed_quote_ = open;
    return content;
  }

  std::string_view text_;
  char separator_;
  detail::Cursor cursor_;
  bool is_cut_cleanly_ = true;
  std::optional<Position> unclosed_quote_;
};

/// The separator that cuts the greatest number of rows into one and the same number of cells. Preamble and
/// notes do not repeat a pattern; readings do. The comma comes last: it may be a decimal comma.
char find_separator(std::string_view text) {
  char best = ',';
  std::size_t best_count = 0;
  for (const char separator : {'\t', ';', '|', ','}) {
    if (text.find(separator) == npos) continue;
    std::map<std::size_t, std::size_t> rows_of_width;
    RowReader reader(text, separator);
    for (Row row; reader.next(row);) {
      if (row.cells.size() > 1 && reader.is_cut_cleanly()) ++rows_of_width[row.cells.size()];
    }
    for (const auto& [width, count] : rows_of_width) {
      if (count > best_count) {
        best = separator;
        best_count = count;
      }
    }
  }
  return best;
}

// --- Numbers -------------------------------------------------------------------------------------------

/// A number as it is written in a cell, before its mark is judged.
struct WrittenNumber {
  std::string digits;           ///< sign, digits, point, exponent: fit for from_chars
  char mark = '\0';             ///< '.' or ',' between whole and fraction, if any
  std::size_t whole_count = 0;  ///< digits before the mark
  std::size_t fraction_count = 0;
  bool starts_with_zero = false;
  std::string_view rest;  ///< what follows: the unit

  /// "1,234": one thousand or a bit over one? Nobody can tell.
  [[nodiscard]] bool has_unclear_comma() const {
    return mark == ',' && fraction_count == 3 && whole_count >= 1 && whole_count <= 3 && !starts_with_zero;
  }
};

/// Length of a mark between thousands that is followed by exactly three digits; 0 if there is none.
std::size_t thousands_mark_length(std::string_view text) {
  for (const std::string_view mark : thousands_marks) {
    if (!starts_with(text, mark)) continue;
    const auto group = text.substr(mark.size());
    const std::size_t count = std::min(group.find_first_not_of("0123456789"), group.size());
    return count == 3 ? mark.size() : 0;
  }
  return 0;
}

/// Units start with a letter, a percent sign, a bracket or a sign outside ASCII and hold no digits but a
/// final square; anything else after a number means that the cell is no number.
bool may_be_unit(std::string_view text) {
  if (text.empty()) return true;
  const char first = text.front();
  const bool starts_well = is_letter(first) || first == '%' || first == '(' || first == '[' ||
                           static_cast<unsigned char>(first) > 0x7F;
  const auto digit = std::find_if(text.begin(), text.end(), is_digit);
  const bool has_only_a_square =
      digit == text.end() || (*digit == '2' && std::none_of(digit + 1, text.end(), is_digit));
  return starts_well && has_only_a_square && text.size() <= 16;
}

std::optional<WrittenNumber> written_number(std::string_view text) {
  WrittenNumber number;
  if (starts_with(text, minus_sign)) {
    number.digits = "-";
    text.remove_prefix(minus_sign.size());
  } else if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    if (text.front() == '-') number.digits = "-";
    text.remove_prefix(1);
  }
  const auto take_digits = [&](std::size_t& count) {
    for (; !text.empty() && is_digit(text.front()); text.remove_prefix(1), ++count)
      number.digits += text.front();
  };
  number.starts_with_zero = starts_with(text, "0");
  take_digits(number.whole_count);
  if (number.whole_count >= 1 && number.whole_count <= 3) {
    while (const std::size_t length = thousands_mark_length(text)) {
      text.remove_prefix(length);
      take_digits(number.whole_count);
    }
  }
  if (text.size() > 1 && (text[0] == '.' || text[0] == ',') && is_digit(text[1])) {
    number.mark = text[0];
    number.digits += '.';
    text.remove_prefix(1);
    take_digits(number.fraction_count);
  } else if (starts_with(text, ".") && number.whole_count > 0) {
    text.remove_prefix(1);  // "12." is twelve
  }
  if (number.whole_count + number.fraction_count == 0) return std::nullopt;
  if (starts_with(text, "e") || starts_with(text, "E")) {
    const std::size_t sign = text.size() > 1 && (text[1] == '+' || text[1] == '-') ? 1 : 0;
    if (text.size() > 1 + sign && is_digit(text[1 + sign])) {
      number.digits += text.substr(0, 1 + sign);
      text.remove_prefix(1 + sign);
      std::size_t exponent_count = 0;
      take_digits(exponent_count);
    }
  }
  number.rest = stripped(text);
  if (!may_be_unit(number.rest)) return std::nullopt;
  return number;
}

/// Whether commas are decimal commas: no cell uses a decimal point, and at least one comma cannot stand
/// between thousands.
bool find_decimal_comma(const std::vector<Row>& rows, Diagnostics& diagnostics) {
  const Cell* with_comma = nullptr;
  const Cell* with_point = nullptr;
  for (const Row& row : rows) {
    for (const Cell& cell : row.cells) {
      const auto number =
          written_number(starts_with(cell.text, ">") ? stripped(std::string_view(cell.text).substr(1))
                                                     : std::string_view(cell.text));
      if (!number) continue;
      if (number->mark == '.' && with_point == nullptr) with_point = &cell;
      if (number->mark == ',' && !number->has_unclear_comma() && with_comma == nullptr) with_comma = &cell;
    }
  }
  if (with_comma != nullptr && with_point != nullptr) {
    diagnostics.warning(
        with_comma->at, "mixed-decimal-marks",
        fmt::format("\"{}\" has a decimal comma but \"{}\" on line {} has a decimal point; no "
                    "comma is read as a decimal mark",
                    excerpt(with_comma->text), excerpt(with_point->text), with_point->at.line),
        "write all numbers of a sheet in one way");
  }
  return with_comma != nullptr && with_point == nullptr;
}

CellNumber not_a_number(std::string problem) {
  return {CellNumber::Kind::not_a_number, 0.0, {}, std::move(problem)};
}

CellNumber number_in(std::string_view text, bool has_decimal_comma) {
  const auto number = written_number(text);
  if (!number) return not_a_number(fmt::format("\"{}\" is not a number", excerpt(text)));
  if (number->mark == ',' && !has_decimal_comma) {
    return not_a_number(
        number->has_unclear_comma()
            ? fmt::format("\"{}\" may mean one number or a thousand times as much; write it with a "
                          "decimal point and without a comma",
                          excerpt(text))
            : fmt::format("\"{}\" has a comma; write a decimal point, or a sheet with ';' between "
                          "the cells and decimal commas throughout",
                          excerpt(text)));
  }
  if (number->mark == '.' && has_decimal_comma)
    return not_a_number(
        fmt::format("\"{}\" has a decimal point in a sheet of decimal commas", excerpt(text)));
  CellNumber result{CellNumber::Kind::number, 0.0, std::string(number->rest), {}};
  const char* const end = number->digits.data() + number->digits.size();
  const auto status = std::from_chars(number->digits.data(), end, result.value);
  if (status.ec != std::errc{} || status.ptr != end)
    return not_a_number(fmt::format("\"{}\" is too large or too small to be used", excerpt(text)));
  return result;
}

}  // namespace

Sheet read_sheet(std::string_view bytes, Diagnostics& diagnostics, std::optional<char> known_separator) {
  Sheet sheet;
  sheet.encoding = "UTF-8";
  if (bytes.size() > greatest_size) {
    diagnostics.error({}, "too-large", "the sheet is larger than 64 MiB", "cut it into smaller ones");
    return sheet;
  }
  bytes = detail::without_byte_order_mark(bytes);
  if (const auto at = detail::find_control_character(bytes); at != npos) {
    diagnostics.error(detail::position_of(bytes, at), "binary-data", "the file holds binary data",
                      "save the sheet as CSV (UTF-8)");
    return sheet;
  }
  std::string converted;
  std::string_view text = bytes;
  if (const auto at = detail::find_invalid_utf8(bytes); at != npos) {
    sheet.encoding = "Windows-1252";
    converted = detail::utf8_from_windows_1252(bytes);
    text = converted;
    diagnostics.note(detail::position_of(bytes, at), "windows-1252",
                     "the sheet is not valid UTF-8 and was read as Windows-1252",
                     "check letters with accents and unit signs, or save it as CSV (UTF-8)");
  }
  sheet.separator = known_separator ? *known_separator : find_separator(text);
  RowReader reader(text, sheet.separator);
  std::size_t cell_count = 0;
  std::size_t width = 0;  // up to the last column that holds anything
  for (Row row; reader.next(row);) {
    cell_count += row.cells.size();
    if (row.cells.size() > greatest_row_width || cell_count > greatest_cell_count) {
      diagnostics.error({row.line, 1}, "too-large",
                        "the sheet has too many cells (10000 in a row, 5 million in all)",
                        "cut it into smaller ones");
      return sheet;
    }
    for (std::size_t column = width; column < row.cells.size(); ++column) {
      if (!row.cells[column].text.empty()) width = column + 1;
    }
    sheet.rows.push_back(row);
  }
  for (Row& row : sheet.rows) {  // a spreadsheet's trailing ";;;;"
    if (row.cells.size() > width) row.cells.resize(width);
  }
  if (const auto open = reader.unclosed_quote()) {
    diagnostics.error(*open, "unclosed-quote", "the quote that opens here is never closed",
                      "close it, or write the cell without quotes");
  }
  if (sheet.separator != ',') sheet.has_decimal_comma = find_decimal_comma(sheet.rows, diagnostics);
  return sheet;
}

CellNumber read_cell_number(const Cell& cell, bool has_decimal_comma) {
  const std::string_view text = stripped(cell.text);
  const std::string lower = in_lower_case(text);
  const auto is_one_of = [](std::string_view word, auto... words) { return ((word == words) || ...); };
  if (is_one_of(lower, "", "-", "--", "\xE2\x80\x93", "\xE2\x80\x94", "n/a", "na")) return {};

  if (starts_with(text, ">")) {
    const auto bound = stripped(text.substr(starts_with(text, ">=") ? 2 : 1));
    CellNumber result = number_in(bound, has_decimal_comma);
    if (result.kind == CellNumber::Kind::number) result.kind = CellNumber::Kind::over_range;
    return result;
  }
  if (starts_with(text, "<"))
    return not_a_number(fmt::format("\"{}\" is a bound (under range), not a reading", excerpt(text)));
  const std::string_view first_word = std::string_view(lower).substr(0, lower.find(' '));
  if (is_one_of(lower, "over range", "over-range", "overrange", "out of range")) {
    return {CellNumber::Kind::over_range, 0.0, {}, {}};
  }
  if (is_one_of(first_word, "ol", "o.l", "o.l.", "+ol", "over", "ovr", "ofl", "overload")) {
    const auto unit = stripped(text.substr(first_word.size()));
    if (may_be_unit(unit)) return {CellNumber::Kind::over_range, 0.0, std::string(unit), {}};
  }
  return number_in(text, has_decimal_comma);
}

}  // namespace ohmroot::text
