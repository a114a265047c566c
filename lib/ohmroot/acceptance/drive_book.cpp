// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/drive_book.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/journal.hpp>
#include <ohmroot/text/titled_sheet.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ohmroot::acceptance {
namespace {

enum Cell : std::size_t {
  entry_cell,
  time_cell,
  site_cell,
  rod_cell,
  diameter_cell,
  depth_cell,
  resistance_cell,
  error_cell,
  replaces_cell,
  question_cell,
  answer_cell,
  safety_cell,
  remark_cell,
  accepted_cell,
  cell_count
};
constexpr std::array<const char*, cell_count> titles{
    "drive entry", "time",     "site",         "rod",    "diameter (m)", "depth (m)", "R (ohm)",
    "error (%)",   "replaces", "safe working", "answer", "marked",       "remark",    "accepted"};
constexpr std::string_view section_entry = "section";
constexpr std::string_view refusal_entry = "refusal";
constexpr std::string_view withdrawal_entry = "withdrawal";
constexpr std::string_view safety_entry = "safe working";
constexpr std::string_view accepted_word = "yes";

constexpr text::SheetKind kind{titles, "no-drive-book", "a drive book", "drive"};

class Reader {
public:
  Reader(std::string_view bytes, Diagnostics& diagnostics) : bytes_(bytes), diagnostics_(diagnostics) {}

  DriveBook read() {
    const auto sheet = text::read_titled_sheet(bytes_, kind, diagnostics_);
    if (!sheet) return {};
    for (std::size_t i = 1; i < sheet->rows.size(); ++i)
      read_row(sheet->rows[i]);
    std::stable_sort(book_.lines.begin(), book_.lines.end(), [](const DriveLine& a, const DriveLine& b) {
      return a.reading.rod == b.reading.rod && a.reading.driven_length_m < b.reading.driven_length_m;
    });
    return std::move(book_);
  }

private:
  std::optional<double> number(const text::Row& row, Cell at, const char* what) {
    const std::string text = text::cell_text(row, at);
    const ParsedQuantity parsed = parse_number(text);
    if (parsed.si_value && *parsed.si_value > 0.0) return parsed.si_value;
    diagnostics_.error({row.line, 1}, "not-positive",
                       fmt::format("{} is \"{}\"; it must be a number above 0", what, text),
                       "use the file as 'drive' wrote it");
    return std::nullopt;
  }

  /// Takes the line that this one replaces out of force; false if there is none.
  bool replace(const text::Row& row, bool is_needed) {
    const std::string text = text::cell_text(row, replaces_cell);
    if (text.empty() && !is_needed) return true;
    const ParsedQuantity parsed = parse_number(text);
    const int line = parsed.si_value ? static_cast<int>(*parsed.si_value) : 0;
    const auto old = std::find_if(book_.lines.begin(), book_.lines.end(),
                                  [&](const DriveLine& l) { return l.line == line; });
    if (old == book_.lines.end()) {
      diagnostics_.error({row.line, 1}, "nothing-to-replace",
                         fmt::format("\"{}\" names no line above that is in force", text),
                         "name the line as it was printed when it was taken");
      return false;
    }
    book_.superseded_lines.push_back(line);
    book_.lines.erase(old);
    return true;
  }

  void read_row(const text::Row& row) {
    if (text::cell_text(row, accepted_cell) != accepted_word) {
      diagnostics_.warning({row.line, 1}, "torn-line", "cut off by a crash and never accepted");
      return;
    }
    const std::string entry = text::cell_text(row, entry_cell);
    const sounding::BookStamp stamp{text::cell_text(row, time_cell), text::cell_text(row, site_cell)};
    book_.safety.last_stamp = stamp;
    if (entry == safety_entry) {
      const auto question = sounding::read_safety_name(text::cell_text(row, question_cell));
      const auto answer = sounding::read_answer(text::cell_text(row, answer_cell));
      if (question && answer)
        book_.safety.answers.push_back({stamp, *question, *answer});
      else
        diagnostics_.error({row.line, 1}, "unknown-answer", "no answer to a question on safe working",
                           "use the file as 'drive' wrote it");
      return;
    }
    if (entry == withdrawal_entry) {
      static_cast<void>(replace(row, true));
      return;
    }
    if (entry != section_entry && entry != refusal_entry) {
      diagnostics_.error({row.line, 1}, "unknown-entry",
                         fmt::format("\"{}\" is no entry of a drive book", entry),
                         "use the file as 'drive' wrote it");
      return;
    }
    DriveLine line;
    line.line = row.line;
    line.is_refusal = entry == refusal_entry;
    line.stamp = stamp;
    line.safety = text::cell_text(row, safety_cell);
    line.remark = text::cell_text(row, remark_cell);
    line.reading.rod = text::cell_text(row, rod_cell);
    line.reading.sheet_line = row.line;
    const auto depth_m = number(row, depth_cell, "the depth");
    const auto diameter_m = number(row, diameter_cell, "the diameter");
    if (!depth_m || !diameter_m || !replace(row, false)) return;
    line.reading.driven_length_m = *depth_m;
    line.reading.diameter_m = *diameter_m;
    if (!line.is_refusal) {
      const auto ohm = number(row, resistance_cell, "R");
      const auto error = number(row, error_cell, "the error");
      if (!ohm || !error) return;
      line.reading.resistance_ohm = *ohm;
      line.reading.relative_error_ratio = *error / 100.0;
    }
    book_.last_rod = line.reading.rod;
    book_.lines.push_back(std::move(line));
  }

  std::string_view bytes_;
  Diagnostics& diagnostics_;
  DriveBook book_;
};

std::vector<std::string> started(std::string_view entry, const sounding::BookStamp& stamp) {
  std::vector<std::string> cells(cell_count);
  cells[entry_cell] = entry;
  cells[time_cell] = stamp.time;
  cells[site_cell] = stamp.site;
  cells[accepted_cell] = accepted_word;
  return cells;
}

}  // namespace

std::vector<sounding::DrivenRodReading> DriveBook::readings(const std::string& rod) const {
  std::vector<sounding::DrivenRodReading> all;
  for (const DriveLine& line : lines) {
    if (line.reading.rod == rod && !line.is_refusal) all.push_back(line.reading);
  }
  return all;
}

const DriveLine* DriveBook::at(int line) const {
  const auto found =
      std::find_if(lines.begin(), lines.end(), [&](const DriveLine& l) { return l.line == line; });
  return found == lines.end() ? nullptr : &*found;
}

const std::string& drive_book_header() {
  static const std::string header = text::csv_line({titles.begin(), titles.end()});
  return header;
}

DriveBook read_drive_book(std::string_view bytes, Diagnostics& diagnostics) {
  return Reader(bytes, diagnostics).read();
}

std::string section_line(const DriveBook& book, const DriveLine& line, int replaces_line) {
  auto cells = started(line.is_refusal ? refusal_entry : section_entry, line.stamp);
  cells[rod_cell] = line.reading.rod;
  cells[diameter_cell] = fmt::format("{}", line.reading.diameter_m);
  cells[depth_cell] = fmt::format("{}", line.reading.driven_length_m);
  if (!line.is_refusal) {
    cells[resistance_cell] = fmt::format("{}", line.reading.resistance_ohm);
    cells[error_cell] = fmt::format("{:.10g}", 100.0 * line.reading.relative_error_ratio);
  }
  if (replaces_line > 0) cells[replaces_cell] = std::to_string(replaces_line);
  cells[safety_cell] = book.safety.safety_mark(line.stamp, sounding::Work::driving);
  cells[remark_cell] = line.remark;
  return text::csv_line(cells);
}

std::string withdrawal_line(const sounding::BookStamp& stamp, int replaces_line) {
  auto cells = started(withdrawal_entry, stamp);
  cells[replaces_cell] = std::to_string(replaces_line);
  return text::csv_line(cells);
}

std::string answer_line(const sounding::BookStamp& stamp, sounding::SafetyQuestion question,
                        sounding::SafetyAnswer answer) {
  auto cells = started(safety_entry, stamp);
  cells[question_cell] = sounding::safety_name(question);
  cells[answer_cell] = sounding::answer_word(answer);
  return text::csv_line(cells);
}

}  // namespace ohmroot::acceptance
