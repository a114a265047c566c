// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/book_rows.hpp>
#include <ohmroot/sounding/detail/columns.hpp>
#include <ohmroot/sounding/detail/rod_rows.hpp>
#include <ohmroot/sounding/detail/sheet_cells.hpp>
#include <ohmroot/sounding/detail/sheet_geometry.hpp>
#include <ohmroot/sounding/detail/sheet_header.hpp>
#include <ohmroot/sounding/detail/sheet_values.hpp>
#include <ohmroot/sounding/detail/single_readings.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/reading_error.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/repeats.hpp>
#include <ohmroot/text/csv.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>

namespace ohmroot::sounding {
namespace {

using detail::Column;
using detail::ColumnKind;
using detail::Found;
using detail::Header;
using detail::is_number;
using text::CellNumber;

std::string lowered(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; });
  return text;
}

/// "Average", "mean:", "Total", "Mean rho": a row that sums up others.
bool is_summary_word(const std::string& cell) {
  constexpr std::array<std::string_view, 20> words{
      "total",      "totals",        "sum",    "average", "averages", "avg",           "mean",
      "mean value", "average value", "median", "max",     "min",      "maximum",       "minimum",
      "std",        "std dev",       "stdev",  "range",   "count",    "geometric mean"};
  std::string text = lowered(cell);
  text.erase(text.find_last_not_of(" :=.") + 1);
  return std::find(words.begin(), words.end(), text) != words.end() || text.rfind("average ", 0) == 0 ||
         text.rfind("mean ", 0) == 0 || text.rfind("total ", 0) == 0;
}

/// Reads the rows of one sheet.
class SheetReader {
public:
  SheetReader(const text::Sheet& sheet, const SheetDefaults& defaults, Diagnostics& diagnostics)
      : sheet_(sheet), defaults_(defaults), diagnostics_(diagnostics), cells_(sheet, diagnostics),
        last_digit_ohm_(defaults.last_digit_ohm), spacing_error_m_(defaults.spacing_error_m) {}

  FieldSheet read();

private:
  void take_header(const Header& header);
  void check_reading_columns(const Header& header);

  // The rows
  void read_row(const text::Row& row);
  [[nodiscard]] bool is_out_of_the_book(const text::Row& row);
  [[nodiscard]] bool is_summary(const text::Row& row) const;
  [[nodiscard]] bool is_remark(const text::Row& row) const;
  [[nodiscard]] bool has_reading(const text::Row& row) const;
  [[nodiscard]] std::string traverse_name(const text::Row& row) const;
  void add_bound(const text::Row& row, FourPoleReading reading, double bound_ohm);
  void skip(const text::Row& row, std::string why);
  void skip_over_range(const text::Row& row, double bound_ohm);

  // The reading
  void read_rod(const text::Row& row);
  bool read_depth(const text::Row& row, FourPoleReading& reading);
  bool read_error(const text::Row& row, FourPoleReading& reading);
  void compare_with_resistivity(const text::Row& row, const FourPoleReading& reading);

  // The whole
  void take_record(const text::Row& row);
  void take_record_quantity(const text::Row& row, const RecordEntry& entry, Dimension dimension,
                            double& si_value);
  void settle_array();
  void report_whole();

  [[nodiscard]] const Header& header() const { return cells_.header(); }

  const text::Sheet& sheet_;
  const SheetDefaults& defaults_;
  Diagnostics& diagnostics_;
  detail::SheetCells cells_;
  double last_digit_ohm_;
  double spacing_error_m_;
  FieldSheet result_;
  int header_count_ = 0;
  std::map<int, int> superseded_;  ///< of a field book: line, and the line that supersedes it
  bool is_array_inferred_ = false;
  int resistivity_mismatch_count_ = 0;
};

// --- The header ------------------------------------------------------------------------------------------

/// Apparent resistivity alone can be turned back only if it is known by which array it was computed.
void SheetReader::check_reading_columns(const Header& header) {
  if (header.has_resistance()) return;
  const bool is_array_known =
      defaults_.array.has_value() || header.has(ColumnKind::array) || !header.has(ColumnKind::spacing);
  if (is_array_known) {
    result_.notes.emplace_back(
        "R was not in the sheet: it was computed back from the apparent resistivity by the formula of the "
        "array for "
        "stakes at the surface; whether the field used the same formula the sheet does not say");
  } else {
    diagnostics_.error(header.find(ColumnKind::resistivity)->at, "array-unknown",
                       "only an apparent resistivity is given, and not the array it was computed for",
                       "give R in ohm, or state the array (Wenner or Schlumberger)");
  }
}

void SheetReader::take_header(const Header& header) {
  cells_.set_header(header);
  ++header_count_;
  if (detail::is_book(header)) superseded_ = detail::superseded_lines(sheet_, header);
  for (std::string& note : detail::header_notes(header))
    result_.notes.push_back(std::move(note));
  detail::check_units(header, diagnostics_);
  if (detail::check_rod_columns(header, diagnostics_)) check_reading_columns(header);
}

// --- The reading -----------------------------------------------------------------------------------------

/// A rod's stakes are few and far: nothing of their places enters the error.
void SheetReader::read_rod(const text::Row& row) {
  std::optional<DrivenRodReading> rod = detail::rod_of_row(row, cells_);
  std::optional<FourPoleReading> shown;
  const Found measured = detail::resistance_of(row, cells_, shown);
  if (measured.is_missing()) return skip(row, "no reading in it");
  if (measured.is_over_range()) skip_over_range(row, measured.si_value);
  if (!rod || measured.is_refused() || !(measured.si_value > 0.0)) return;
  shown = wenner_reading(1.0, measured.si_value);
  const double spacing_error_m = std::exchange(spacing_error_m_, 0.0);
  const bool is_good = detail::take_polarity(row, cells_, *shown) && read_error(row, *shown);
  spacing_error_m_ = spacing_error_m;
  if (!is_good) return;
  rod->resistance_ohm = shown->resistance_ohm;
  rod->relative_error_ratio = shown->relative_error_ratio;
  rod->is_lower_bound = measured.is_over_range();
  result_.rods.push_back(std::move(*rod));
}

bool SheetReader::read_depth(const text::Row& row, FourPoleReading& reading) {
  const Found depth = cells_.number(row, ColumnKind::depth);
  if (depth.is_refused()) return false;
  reading.driven_depth_m = depth.is_number() ? depth.si_value : defaults_.driven_depth_m;
  reading.contact = defaults_.contact;
  const double gap_m = detail::stake_gap_m(reading);
  if (reading.driven_depth_m > detail::greatest_depth_ratio * gap_m)
    diagnostics_.warning(cells_.position(row, ColumnKind::depth), "deep-stakes",
                         fmt::format("stakes driven {} at {} between them: more than a fifth",
                                     format_quantity(reading.driven_depth_m, Dimension::length),
                                     format_quantity(gap_m, Dimension::length)),
                         "drive them less deep at short spacings");
  return true;
}

bool SheetReader::read_error(const text::Row& row, FourPoleReading& reading) {
  const auto combine = [&](double instrument_ratio) {
    const double combined =
        combined_error_ratio(reading, {instrument_ratio, last_digit_ohm_, spacing_error_m_});
    reading.relative_error_ratio = std::min(combined, 1.0);
    return true;
  };
  const Found error = cells_.number(row, ColumnKind::error);
  if (error.is_missing()) return combine(defaults_.relative_error_ratio);
  if (error.is_refused()) return false;
  const Column& column = *header().find(ColumnKind::error);
  const bool is_in_ohm = column.unit && column.unit->dimension == Dimension::resistance;
  const double ratio = is_in_ohm ? error.si_value / reading.resistance_ohm : error.si_value;
  if (error.is_number() && ratio <= 1.0) return combine(ratio);
  cells_.refuse(error.at, "implausible",
                fmt::format("the stated error is {} % of the reading; it must be below 100 %",
                            format_number(100.0 * ratio)),
                "check the unit of the error column");
  return false;
}

/// A resistivity computed in the field beside R: a factor between the two means another formula or array.
void SheetReader::compare_with_resistivity(const text::Row& row, const FourPoleReading& reading) {
  if (!header().has_resistance()) return;  // R was computed from it
  const Found stated = cells_.number(row, ColumnKind::resistivity);
  if (!stated.is_number()) return;
  FourPoleReading at_surface = reading;
  at_surface.driven_depth_m = 0.0;
  const double computed_ohm_m = apparent_resistivity_ohm_m(at_surface);
  if (std::abs(stated.si_value / computed_ohm_m - 1.0) <= 0.05) return;
  if (++resistivity_mismatch_count_ > 1) return;
  diagnostics_.warning(stated.at, "resistivity-mismatch",
                       fmt::format("the sheet says {}, spacing and reading give {}",
                                   format_quantity(stated.si_value, Dimension::resistivity),
                                   format_quantity(computed_ohm_m, Dimension::resistivity)),
                       "check the array, the order of the leads and the units; R is what is used");
}

// --- The rows --------------------------------------------------------------------------------------------

bool SheetReader::is_summary(const text::Row& row) const {
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const auto column = std::find_if(header().columns.begin(), header().columns.end(),
                                     [&](const Column& c) { return c.index == i; });
    const bool is_looked_at = column != header().columns.end() || i == 0;
    if (is_looked_at && is_summary_word(row.cells[i].text)) return true;
  }
  return false;
}

/// A remark, a heading, a footer: no column of numbers holds one, and no spacing looks as if it were meant
/// to.
bool SheetReader::is_remark(const text::Row& row) const {
  const auto is_filled = [](const text::Cell& c) { return !c.text.empty(); };
  if (std::count_if(row.cells.begin(), row.cells.end(), is_filled) == 1)
    return cells_.kind_of(*std::find_if(row.cells.begin(), row.cells.end(), is_filled)) ==
           CellNumber::Kind::not_a_number;
  return std::none_of(header().columns.begin(), header().columns.end(), [&](const Column& column) {
    const text::Cell* source = cells_.cell(row, column.kind);
    if (source == nullptr || !is_number(column.kind)) return false;
    const CellNumber::Kind kind = cells_.kind_of(*source);
    const bool has_digit = source->text.find_first_of("0123456789") != std::string::npos;
    return kind == CellNumber::Kind::number || kind == CellNumber::Kind::over_range ||
           (detail::is_spacing(column.kind) && has_digit);
  });
}

bool SheetReader::has_reading(const text::Row& row) const {
  constexpr std::array<ColumnKind, 5> kinds{ColumnKind::resistance, ColumnKind::voltage, ColumnKind::current,
                                            ColumnKind::resistivity, ColumnKind::repeat};
  return std::any_of(header().columns.begin(), header().columns.end(), [&](const Column& column) {
    const bool is_reading = std::find(kinds.begin(), kinds.end(), column.kind) != kinds.end();
    return is_reading && column.index < row.cells.size() &&
           cells_.kind_of(row.cells[column.index]) != CellNumber::Kind::empty;
  });
}

void SheetReader::skip(const text::Row& row, std::string why) {
  diagnostics_.warning({row.line, 1}, "skipped-row", "row skipped: " + why);
  result_.skipped.push_back({row.line, std::move(why), false, 0.0});
}

void SheetReader::skip_over_range(const text::Row& row, double bound_ohm) {
  const std::string bound = bound_ohm > 0.0
                                ? fmt::format("above {}", format_quantity(bound_ohm, Dimension::resistance))
                                : "no bound stated";
  std::string why = fmt::format("the tester was over range ({}): a bound, not a reading", bound);
  diagnostics_.warning({row.line, 1}, "over-range", "row skipped: " + why,
                       "wet or add stakes and repeat; leaving high readings out bends the curve downwards");
  result_.skipped.push_back({row.line, std::move(why), true, bound_ohm});
}

/// Lines of a field book that hold no reading, or one that a later line supersedes, or that a crash cut off.
bool SheetReader::is_out_of_the_book(const text::Row& row) {
  if (!detail::is_accepted(row, header())) {
    skip(row, "cut off by a crash and never accepted");
    return true;
  }
  if (const auto by = superseded_.find(row.line); by != superseded_.end()) {
    result_.notes.push_back(fmt::format("line {} is superseded by line {}", by->first, by->second));
    return true;
  }
  const std::string_view entry = detail::book_cell(row, header(), ColumnKind::entry);
  return entry != detail::entry_reading && entry != detail::entry_correction;
}

void SheetReader::read_row(const text::Row& row) {
  if (detail::is_book(header()) && is_out_of_the_book(row)) return;
  if (is_summary(row)) return skip(row, "it sums up other rows, and an average is never averaged");
  if (is_remark(row)) return skip(row, "no number in it");
  ++result_.data_row_count;
  if (!has_reading(row)) return skip(row, "no reading in it");
  if (detail::is_rod_row(row, cells_)) return read_rod(row);
  detail::RowGeometry geometry = detail::geometry_of(row, cells_, defaults_.array);
  is_array_inferred_ = is_array_inferred_ || geometry.is_array_inferred;
  std::optional<FourPoleReading>& reading = geometry.reading;
  const Found measured = detail::resistance_of(row, cells_, reading);
  if (measured.is_missing()) return skip(row, "no reading in it");
  if (measured.is_over_range()) {
    if (reading && measured.si_value > 0.0) add_bound(row, *reading, measured.si_value);
    return skip_over_range(row, measured.si_value);
  }
  if (!reading || measured.is_refused()) return;
  reading->resistance_ohm = measured.si_value;
  if (!detail::take_polarity(row, cells_, *reading)) return;
  compare_with_resistivity(row, *reading);
  const Found contact = cells_.number(row, ColumnKind::contact_resistance);
  if (contact.is_number()) reading->contact_ohm = contact.si_value;
  const bool is_depth_good = read_depth(row, *reading);
  const bool is_error_good = read_error(row, *reading);
  if (!is_depth_good || !is_error_good || contact.is_refused()) return;
  reading->traverse = traverse_name(row);
  result_.readings.push_back(*reading);
}

std::string SheetReader::traverse_name(const text::Row& row) const {
  if (const text::Cell* traverse = cells_.cell(row, ColumnKind::traverse)) return traverse->text;
  return header_count_ > 1 ? fmt::format("block {}", header_count_) : std::string();
}

void SheetReader::add_bound(const text::Row& row, FourPoleReading reading, double bound_ohm) {
  reading.resistance_ohm = bound_ohm;
  reading.is_lower_bound = true;
  reading.traverse = traverse_name(row);
  if (read_depth(row, reading)) result_.bounds.push_back(std::move(reading));
}

// --- The whole -------------------------------------------------------------------------------------------

/// Spacings given as AB and MN alone do not name the array; all at 3 to 1 they are a Wenner sounding.
void SheetReader::settle_array() {
  if (result_.readings.empty()) return;
  const bool is_stated = defaults_.array.has_value() || header().has(ColumnKind::array);
  if (!is_array_inferred_) {
    if (!is_stated) result_.notes.emplace_back("array not stated: one spacing a, a Wenner array");
    return;
  }
  const bool is_wenner =
      std::all_of(result_.readings.begin(), result_.readings.end(), detail::is_wenner_geometry);
  if (is_wenner) {
    for (FourPoleReading& reading : result_.readings)
      reading.array = Array::wenner;
  }
  result_.notes.emplace_back(is_wenner ? "array not stated: AB is three times MN in every row, a Wenner array"
                                       : "array not stated: AB and MN as given, a Schlumberger array");
}

void SheetReader::report_whole() {
  if (resistivity_mismatch_count_ > 1)
    result_.notes.push_back(
        fmt::format("in {} rows the apparent resistivity in the sheet differs from that of R by "
                    "more than 5 %",
                    resistivity_mismatch_count_));
  if (result_.readings.empty() && result_.rods.empty() && !diagnostics_.has_errors())
    diagnostics_.error({}, "no-readings", "the sheet holds no reading that can be used",
                       "give at least one row with a spacing and a resistance");
  if (result_.readings.size() == 1)
    diagnostics_.warning({result_.readings.front().sheet_line, 1}, "one-reading",
                         "one reading says nothing of layers",
                         "measure at least five spacings, from half a metre to the depth that matters");
}

/// A line above the table: kept as a note and in the record, first cell or the text before a colon as its key.
void SheetReader::take_record(const text::Row& row) {
  std::string line;
  RecordEntry entry;
  entry.line = row.line;
  for (const text::Cell& c : row.cells) {
    if (c.text.empty()) continue;
    if (!line.empty()) entry.value += (entry.value.empty() ? "" : " ") + c.text;
    if (line.empty()) entry.key = c.text;
    line += (line.empty() ? "" : " ") + c.text;
  }
  if (line.empty()) return;
  result_.notes.push_back(fmt::format("line {} above the table: {}", row.line, line));
  const std::size_t colon = entry.key.find(':');
  if (colon != std::string::npos) {
    const std::size_t after = entry.key.find_first_not_of(" :", colon);
    if (after != std::string::npos)
      entry.value = entry.key.substr(after) + (entry.value.empty() ? "" : " " + entry.value);
    entry.key.erase(colon);
  }
  entry.kind = record_kind(entry.key);
  if (entry.kind == RecordKind::spacing_error)
    take_record_quantity(row, entry, Dimension::length, spacing_error_m_);
  if (entry.kind == RecordKind::last_digit)
    take_record_quantity(row, entry, Dimension::resistance, last_digit_ohm_);
  result_.record.push_back(std::move(entry));
}

void SheetReader::take_record_quantity(const text::Row& row, const RecordEntry& entry, Dimension dimension,
                                       double& si_value) {
  const ParsedQuantity parsed = parse_quantity(entry.value, dimension);
  if (parsed.si_value && *parsed.si_value >= 0.0) {
    si_value = *parsed.si_value;
    return;
  }
  cells_.refuse({row.line, 1}, "not-a-number",
                fmt::format("\"{}\" is \"{}\"; it must be a {} with its unit", entry.key, entry.value,
                            dimension == Dimension::length ? "length" : "resistance"),
                dimension == Dimension::length ? "write for instance: Spacing error, 2 cm"
                                               : "write for instance: Last digit, 0.01 ohm");
}

FieldSheet SheetReader::read() {
  const std::string separator = sheet_.separator == '\t' ? "tab" : std::string("'") + sheet_.separator + "'";
  result_.notes.push_back(fmt::format("read as {}, cells separated by {}, decimal {}", sheet_.encoding,
                                      separator, sheet_.has_decimal_comma ? "comma" : "point"));
  const auto first = detail::header_row(sheet_);
  if (!first) {
    detail::report_missing_header(sheet_, diagnostics_);
    return std::move(result_);
  }
  for (std::size_t i = 0; i < *first; ++i)
    take_record(sheet_.rows[i]);
  for (std::size_t i = *first; i < sheet_.rows.size(); ++i) {
    const Header header = detail::header_from(sheet_.rows, i);
    if (detail::is_header(header)) {
      take_header(header);
      i += header.row_count - 1;
    } else {
      read_row(sheet_.rows[i]);
    }
  }
  settle_array();
  report_whole();
  return std::move(result_);
}

}  // namespace

FieldSheet detail::read_single_readings(std::string_view bytes, const SheetDefaults& defaults,
                                        Diagnostics& diagnostics) {
  require_not_negative("defaults.driven_depth_m", defaults.driven_depth_m, "m");
  require_within("defaults.relative_error_ratio", defaults.relative_error_ratio, "", {1e-5, 1.0});
  require_not_negative("defaults.last_digit_ohm", defaults.last_digit_ohm, "ohm");
  require_not_negative("defaults.spacing_error_m", defaults.spacing_error_m, "m");
  Diagnostics found(diagnostics.file());
  const text::Sheet sheet = text::read_sheet(bytes, found, detail::book_separator(bytes));
  FieldSheet result;
  if (!found.has_errors()) result = SheetReader(sheet, defaults, found).read();
  diagnostics.append(found);
  return result;
}

FieldSheet read_field_sheet(std::string_view bytes, const SheetDefaults& defaults, Diagnostics& diagnostics) {
  FieldSheet sheet = detail::read_single_readings(bytes, defaults, diagnostics);
  if (!detail::book_separator(bytes)) return sheet;
  JoinedReadings joined = joined_repeats(sheet.readings);
  for (const std::vector<std::size_t>& parts : joined.parts) {
    std::string lines;
    for (std::size_t i = 1; i < parts.size(); ++i)
      lines += fmt::format("{}{}", lines.empty() ? "" : ", ", sheet.readings[parts[i]].sheet_line);
    if (!lines.empty())
      sheet.notes.push_back(fmt::format("line {}, repeated in {}: one reading, their mean",
                                        sheet.readings[parts.front()].sheet_line, lines));
  }
  sheet.readings = std::move(joined.readings);
  return sheet;
}

}  // namespace ohmroot::sounding
