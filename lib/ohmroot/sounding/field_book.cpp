// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/book_rows.hpp>
#include <ohmroot/sounding/detail/single_readings.hpp>
#include <ohmroot/sounding/field_book.hpp>
#include <ohmroot/text/csv.hpp>
#include <ohmroot/text/journal.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

namespace ohmroot::sounding {
namespace {

// The cells of a line, in the order of the header.
enum Cell : std::size_t {
  entry_cell,
  time_cell,
  site_cell,
  traverse_cell,
  array_cell,
  spacing_cell,
  half_current_cell,
  half_potential_cell,
  resistance_cell,
  depth_cell,
  error_cell,
  replaces_cell,
  question_cell,
  answer_cell,
  safety_cell,
  remark_cell,
  accepted_cell,
  cell_count
};

std::string cell(const text::Row& row, Cell at) {
  return at < row.cells.size() ? row.cells[at].text : std::string();
}

std::string_view day_of(const BookStamp& stamp) {
  return std::string_view(stamp.time).substr(0, 10);
}

std::vector<std::string> started_line(std::string_view entry, const BookStamp& stamp) {
  std::vector<std::string> cells(cell_count);
  cells[entry_cell] = entry;
  cells[time_cell] = stamp.time;
  cells[site_cell] = stamp.site;
  cells[accepted_cell] = detail::accepted_word;
  return cells;
}

// --- Reading a book --------------------------------------------------------------------------------------

class BookReader {
public:
  BookReader(std::string_view bytes, Diagnostics& diagnostics) : bytes_(bytes), diagnostics_(diagnostics) {}

  FieldBook read() {
    Diagnostics found(diagnostics_.file());
    const text::Sheet sheet = text::read_sheet(bytes_, found, detail::book_separator(bytes_));
    if (found.has_errors()) {
      diagnostics_.append(found);
      return {};
    }
    if (!has_header(sheet)) {
      diagnostics_.error({1, 1}, "no-field-book", "the first line is not that of a field book",
                         "use a file written by 'record', unchanged");
      return {};
    }
    const detail::Header header = detail::header_from(sheet.rows, 0);
    superseded_ = detail::superseded_lines(sheet, header);
    read_readings();
    for (std::size_t i = 1; i < sheet.rows.size(); ++i)
      read_row(sheet.rows[i], header);
    return std::move(book_);
  }

private:
  [[nodiscard]] static bool has_header(const text::Sheet& sheet) {
    if (sheet.rows.empty() || sheet.rows.front().cells.size() != cell_count) return false;
    for (std::size_t i = 0; i < cell_count; ++i) {
      if (sheet.rows.front().cells[i].text != detail::book_titles()[i]) return false;
    }
    return true;
  }

  /// The readings in force, by the one reader that there is for them.
  void read_readings() {
    Diagnostics found(diagnostics_.file());
    const FieldSheet sheet = detail::read_single_readings(bytes_, {}, found);
    for (const Diagnostic& d : found.all()) {
      if (d.severity == Severity::error && d.code != "no-readings")
        diagnostics_.error(d.at, d.code, d.message, d.hint);
    }
    for (const FourPoleReading& reading : sheet.readings) {
      BookReading kept;
      kept.reading = reading;
      book_.readings.push_back(kept);
    }
    for (const SkippedRow& skipped : sheet.skipped) {
      if (skipped.is_over_range) book_.over_range_lines.push_back(skipped.line);
    }
  }

  void read_row(const text::Row& row, const detail::Header& header) {
    if (!detail::is_accepted(row, header)) return book_.torn_lines.push_back(row.line);
    const std::string entry = cell(row, entry_cell);
    const bool is_reading = entry == detail::entry_reading || entry == detail::entry_correction;
    check_replaced(row, header, entry);
    book_.last_stamp = stamp_of(row);
    if (entry == detail::entry_safety) return read_answer_row(row);
    if (!is_reading && entry != detail::entry_withdrawal)
      return diagnostics_.error({row.line, 1}, "unknown-entry",
                                fmt::format("\"{}\" is no entry of a field book", entry),
                                "use the file as 'record' wrote it");
    if (!is_reading) return;
    readings_so_far_.insert(row.line);
    if (superseded_.count(row.line) > 0) return book_.superseded_lines.push_back(row.line);
    const auto kept = std::find_if(book_.readings.begin(), book_.readings.end(),
                                   [&](const BookReading& r) { return r.reading.sheet_line == row.line; });
    if (kept == book_.readings.end()) return;  // over range
    kept->stamp = stamp_of(row);
    kept->safety = cell(row, safety_cell);
    kept->remark = cell(row, remark_cell);
    kept->replaces_line = std::max(0, detail::replaced_line(row, header));
  }

  /// A correction or withdrawal names a reading above it that none has superseded before.
  void check_replaced(const text::Row& row, const detail::Header& header, const std::string& entry) {
    const int line = detail::replaced_line(row, header);
    const bool is_needed = entry == detail::entry_correction || entry == detail::entry_withdrawal;
    if (line == 0 && !is_needed) return;
    const bool is_in_force = is_needed && readings_so_far_.erase(line) > 0;
    if (is_in_force) return;
    const auto by = superseded_.find(line);
    const bool is_gone = by != superseded_.end() && by->second < row.line;
    diagnostics_.error({row.line, 1}, "nothing-to-replace",
                       is_gone ? fmt::format("line {} is superseded by line {} already", line, by->second)
                               : fmt::format("\"{}\" names no line above that holds a reading",
                                             detail::book_cell(row, header, detail::ColumnKind::replaces)),
                       is_gone ? "correct that one"
                               : "name the line of the reading, as it was printed when it was taken");
  }

  void read_answer_row(const text::Row& row) {
    const auto question = read_safety_name(cell(row, question_cell));
    const auto answer = read_answer(cell(row, answer_cell));
    if (!question || !answer)
      return diagnostics_.error({row.line, 1}, "unknown-answer",
                                fmt::format("\"{}: {}\" is no answer to a question on safe working",
                                            cell(row, question_cell), cell(row, answer_cell)),
                                "use the file as 'record' wrote it");
    book_.answers.push_back({stamp_of(row), *question, *answer});
  }

  [[nodiscard]] static BookStamp stamp_of(const text::Row& row) {
    return {cell(row, time_cell), cell(row, site_cell)};
  }

  std::string_view bytes_;
  Diagnostics& diagnostics_;
  FieldBook book_;
  std::map<int, int> superseded_;
  std::set<int> readings_so_far_;  ///< lines of readings in force at the line that is being read
};

// --- Writing lines ---------------------------------------------------------------------------------------

std::string number(double value) {
  return fmt::format("{}", value);
}

void put_geometry(std::vector<std::string>& cells, const FourPoleReading& reading) {
  if (reading.array == Array::wenner) {
    cells[array_cell] = "Wenner";
    cells[spacing_cell] = number(2.0 * reading.half_potential_spacing_m);
  } else if (reading.array == Array::schlumberger) {
    cells[array_cell] = "Schlumberger";
    cells[half_current_cell] = number(reading.half_current_spacing_m);
    cells[half_potential_cell] = number(reading.half_potential_spacing_m);
  } else {
    throw DomainError("reading.array", "another array", "Wenner (A-M-N-B) or Schlumberger");
  }
  if (reading.contact != StakeContact::bare)
    throw DomainError("reading.contact", "insulated stakes", "bare stakes");
}

std::string over_range_words(double bound_ohm) {
  return bound_ohm > 0.0 ? ">" + number(bound_ohm) : "OL";
}

}  // namespace

const std::string& field_book_header() {
  static const std::string header = text::csv_line(detail::book_titles());
  return header;
}

std::vector<FourPoleReading> FieldBook::four_pole_readings() const {
  return joined().readings;
}

JoinedReadings FieldBook::joined() const {
  std::vector<FourPoleReading> all;
  for (const BookReading& kept : readings)
    all.push_back(kept.reading);
  return joined_repeats(all);
}

std::vector<const BookReading*> FieldBook::at_place_of(int line) const {
  for (const std::vector<std::size_t>& parts : joined().parts) {
    std::vector<const BookReading*> found;
    bool is_here = false;
    for (const std::size_t part : parts) {
      found.push_back(&readings[part]);
      is_here = is_here || readings[part].reading.sheet_line == line;
    }
    if (is_here) return found;
  }
  return {};
}

std::optional<SafetyAnswer> FieldBook::answer(const BookStamp& stamp, SafetyQuestion question) const {
  std::optional<SafetyAnswer> last;
  for (const SafetyEntry& entry : answers) {
    if (entry.question == question && day_of(entry.stamp) == day_of(stamp) && entry.stamp.site == stamp.site)
      last = entry.answer;
  }
  return last;
}

std::vector<SafetyQuestion> FieldBook::open_questions(const BookStamp& stamp, Work work) const {
  std::vector<SafetyQuestion> open;
  for (const SafetyQuestion question : safety_questions(work)) {
    if (!answer(stamp, question)) open.push_back(question);
  }
  return open;
}

std::string FieldBook::safety_mark(const BookStamp& stamp, Work work) const {
  std::string mark;
  for (const SafetyQuestion question : safety_questions(work)) {
    const SafetyAnswer given = answer(stamp, question).value_or(SafetyAnswer::not_known);
    if (given == SafetyAnswer::yes) continue;
    mark += fmt::format("{}{}: {}", mark.empty() ? "" : " / ", safety_name(question), answer_word(given));
  }
  return mark;
}

FieldBook read_field_book(std::string_view bytes, Diagnostics& diagnostics) {
  return BookReader(bytes, diagnostics).read();
}

std::string reading_line(const FieldBook& book, const FourPoleReading& reading, const BookLine& line) {
  auto cells =
      started_line(line.replaces_line > 0 ? detail::entry_correction : detail::entry_reading, line.stamp);
  put_geometry(cells, reading);
  cells[traverse_cell] = reading.traverse;
  cells[resistance_cell] =
      reading.is_lower_bound ? over_range_words(reading.resistance_ohm) : number(reading.resistance_ohm);
  if (reading.driven_depth_m > 0.0) cells[depth_cell] = number(reading.driven_depth_m);
  cells[error_cell] = fmt::format("{:.10g}", 100.0 * reading.relative_error_ratio);
  if (line.replaces_line > 0) cells[replaces_cell] = std::to_string(line.replaces_line);
  cells[safety_cell] = book.safety_mark(line.stamp, Work::four_pole);
  cells[remark_cell] = line.remark;
  return text::csv_line(cells);
}

std::string withdrawal_line(const BookLine& line) {
  auto cells = started_line(detail::entry_withdrawal, line.stamp);
  cells[replaces_cell] = std::to_string(line.replaces_line);
  cells[remark_cell] = line.remark;
  return text::csv_line(cells);
}

std::string safety_line(const BookStamp& stamp, SafetyQuestion question, SafetyAnswer answer) {
  auto cells = started_line(detail::entry_safety, stamp);
  cells[question_cell] = safety_name(question);
  cells[answer_cell] = answer_word(answer);
  return text::csv_line(cells);
}

std::vector<Diagnostic> line_faults(std::string_view book_bytes, std::string_view line) {
  Diagnostics found("the new line");
  const FieldBook before = read_field_book(book_bytes, found);
  if (found.has_errors()) return found.all();
  Diagnostics added("the new line");
  const FieldBook after = read_field_book(fmt::format("{}{}\n", book_bytes, line), added);
  std::vector<Diagnostic> faults = added.all();
  const auto count = [](const FieldBook& book) {
    return book.readings.size() + book.over_range_lines.size() + book.superseded_lines.size() +
           book.answers.size() + book.torn_lines.size();
  };
  const bool is_withdrawal = line.substr(0, line.find(',')) == detail::entry_withdrawal;
  const std::size_t expected = count(before) + (is_withdrawal ? 0 : 1);
  if (faults.empty() && (count(after) != expected || after.torn_lines.size() != before.torn_lines.size()))
    faults.push_back({Severity::error,
                      "the new line",
                      {},
                      "not-read-back",
                      "the line would not be read back as a reading",
                      "use another name for the line or the site"});
  return faults;
}

}  // namespace ohmroot::sounding
