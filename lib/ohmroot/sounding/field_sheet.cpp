// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/book_rows.hpp>
#include <ohmroot/sounding/detail/columns.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/reading_error.hpp>
#include <ohmroot/sounding/reduction.hpp>
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
using detail::Header;
using detail::is_number;
using text::CellNumber;

/// What a cell of one column came to.
struct Found {
  enum class State { absent, empty, over_range, refused, number } state = State::absent;
  double si_value = 0.0;  // unit: SI unit of the column; for over_range the stated bound, or 0
  Position at;

  [[nodiscard]] bool is_number() const { return state == State::number; }
  [[nodiscard]] bool is_over_range() const { return state == State::over_range; }
  [[nodiscard]] bool is_refused() const { return state == State::refused; }
  [[nodiscard]] bool is_missing() const { return state == State::absent || state == State::empty; }
};

/// What a column may hold at all. Outside, a unit or a decimal mark is wrong, not the ground.
struct Plausible {
  double least;     // unit: SI unit of the column
  double greatest;  // unit: SI unit of the column
  bool is_zero_allowed = false;
  bool is_negative_allowed = false;
};

Plausible plausible(ColumnKind kind) {
  switch (kind) {
  case ColumnKind::resistance:
  case ColumnKind::repeat:
    return {1e-6, 1e7};
  case ColumnKind::reversed_resistance:
    return {1e-6, 1e7, false, true};
  case ColumnKind::contact_resistance:
    return {1e-3, 1e9, true};
  case ColumnKind::voltage:
    return {1e-9, 1e5};
  case ColumnKind::reversed_voltage:
    return {1e-9, 1e5, false, true};
  case ColumnKind::current:
    return {1e-9, 1e3};
  case ColumnKind::reversed_current:
    return {1e-9, 1e3, false, true};
  case ColumnKind::potential_offset:
    return {1e-3, 1e5, true, true};
  case ColumnKind::separation_factor:
    return {0.1, 1000.0};
  case ColumnKind::resistivity:
    return {1e-3, 1e8};
  case ColumnKind::depth:
    return {1e-4, 100.0, true};
  case ColumnKind::error:
    return {1e-5, 1e7};
  default:
    return {1e-3, 1e5};
  }
}

std::string_view noun(ColumnKind kind) {
  switch (kind) {
  case ColumnKind::resistance:
    return "resistance";
  case ColumnKind::repeat:
    return "repeat of a resistance";
  case ColumnKind::reversed_resistance:
    return "resistance with the current reversed";
  case ColumnKind::contact_resistance:
    return "contact resistance";
  case ColumnKind::reversed_voltage:
    return "voltage with the current reversed";
  case ColumnKind::reversed_current:
    return "reversed current";
  case ColumnKind::potential_offset:
    return "offset of MN";
  case ColumnKind::separation_factor:
    return "factor n";
  case ColumnKind::voltage:
    return "voltage";
  case ColumnKind::current:
    return "current";
  case ColumnKind::resistivity:
    return "apparent resistivity";
  case ColumnKind::depth:
    return "stake depth";
  case ColumnKind::error:
    return "error";
  case ColumnKind::traverse:
    return "traverse";
  case ColumnKind::array:
    return "array";
  default:
    return "spacing";
  }
}

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

bool is_wenner_geometry(const FourPoleReading& reading) {
  return reading.potential_offset_m == 0.0 &&
         std::abs(reading.half_current_spacing_m - 3.0 * reading.half_potential_spacing_m) <=
             0.01 * reading.half_current_spacing_m;
}

FourPoleReading wenner_row(const text::Row& row, double spacing_m) {
  FourPoleReading reading = wenner_reading(spacing_m, 0.0);
  reading.sheet_line = row.line;
  return reading;
}

/// "A (m)" for messages: title and the unit taken.
std::string column_words(const Column& column) {
  if (!is_number(column.kind)) return fmt::format("\"{}\" as {}", column.title, noun(column.kind));
  const std::string_view unit =
      column.unit ? std::string_view() : unit_text(detail::dimension_of(column.kind));
  return fmt::format("\"{}\" as {}{}{}", column.title, noun(column.kind), unit.empty() ? "" : ", taken in ",
                     unit);
}

/// Reads the rows of one sheet.
class SheetReader {
public:
  SheetReader(const text::Sheet& sheet, const SheetDefaults& defaults, Diagnostics& diagnostics)
      : sheet_(sheet), defaults_(defaults), diagnostics_(diagnostics),
        last_digit_ohm_(defaults.last_digit_ohm), spacing_error_m_(defaults.spacing_error_m) {}

  FieldSheet read();

private:
  // The header
  [[nodiscard]] std::optional<std::size_t> header_row() const;
  void report_missing_header();
  void take_header(const Header& header);
  void report_unknown_unit(const Column& column);
  void check_units(const Header& header);
  void check_reading_columns(const Header& header);
  void note_header(const Header& header);

  // The rows
  void read_row(const text::Row& row);
  [[nodiscard]] bool is_out_of_the_book(const text::Row& row);
  [[nodiscard]] bool is_summary(const text::Row& row) const;
  [[nodiscard]] CellNumber::Kind kind_of(const text::Cell& source) const;
  [[nodiscard]] bool is_remark(const text::Row& row) const;
  [[nodiscard]] bool has_reading(const text::Row& row) const;
  [[nodiscard]] std::string traverse_name(const text::Row& row) const;
  void add_bound(const text::Row& row, FourPoleReading reading, double bound_ohm);
  void skip(const text::Row& row, std::string why);
  void skip_over_range(const text::Row& row, double bound_ohm);

  // The cells
  [[nodiscard]] const text::Cell* cell(const text::Row& row, ColumnKind kind) const;
  [[nodiscard]] Position position(const text::Row& row, ColumnKind kind) const;
  Found number(const text::Row& row, ColumnKind kind);
  Found number_in(const text::Row& row, const Column& of);
  Found refuse(Position at, std::string code, std::string message, std::string hint);
  [[nodiscard]] std::optional<double> factor(const CellNumber& cell, const Column& column) const;

  // The reading
  std::optional<FourPoleReading> geometry(const text::Row& row);
  std::optional<FourPoleReading> dipole_row(const text::Row& row, const Found& length);
  std::optional<FourPoleReading> general_geometry(const text::Row& row, const Found& half_current,
                                                  const Found& half_potential);
  Found half_of(const text::Row& row, ColumnKind half, ColumnKind full);
  bool read_array(const text::Row& row, std::optional<Array>& array);
  Found resistance(const text::Row& row, std::optional<FourPoleReading>& geometry);
  Found mean_of_repeats(const text::Row& row, FourPoleReading* reading);
  Found reversed(const text::Row& row);
  bool take_polarity(const text::Row& row, FourPoleReading& reading);
  bool read_depth(const text::Row& row, FourPoleReading& reading);
  bool read_error(const text::Row& row, FourPoleReading& reading);
  void compare_with_resistivity(const text::Row& row, const FourPoleReading& reading);

  // The whole
  void take_record(const text::Row& row);
  void take_record_quantity(const text::Row& row, const RecordEntry& entry, Dimension dimension,
                            double& si_value);
  void settle_array();
  void report_whole();

  const text::Sheet& sheet_;
  const SheetDefaults& defaults_;
  Diagnostics& diagnostics_;
  double last_digit_ohm_;
  double spacing_error_m_;
  FieldSheet result_;
  Header header_;
  int header_count_ = 0;
  std::map<int, int> superseded_;  ///< of a field book: line, and the line that supersedes it
  bool is_array_inferred_ = false;
  int resistivity_mismatch_count_ = 0;
};

// --- The header ------------------------------------------------------------------------------------------

bool is_header(const Header& header) {
  return header.has_spacing() && header.has_reading();
}

std::optional<std::size_t> SheetReader::header_row() const {
  for (std::size_t i = 0; i < sheet_.rows.size(); ++i) {
    if (is_header(detail::header_from(sheet_.rows, i))) return i;
  }
  return std::nullopt;
}

/// Names what is missing in the row that comes closest to a header.
void SheetReader::report_missing_header() {
  constexpr std::string_view example = "name the columns in one row, for instance: a (m), R (ohm)";
  Header closest;
  for (std::size_t i = 0; i < sheet_.rows.size(); ++i) {
    const Header header = detail::header_from(sheet_.rows, i);
    if (header.columns.size() > closest.columns.size() || closest.at.line == 0) closest = header;
  }
  const bool has_voltage_or_current = closest.has(ColumnKind::voltage) || closest.has(ColumnKind::current);
  if (closest.has_reading() || (has_voltage_or_current && !closest.has_spacing())) {
    diagnostics_.error(closest.at, "no-spacing-column",
                       "no spacing column: found readings but neither a, nor AB/2 and MN/2",
                       "add a column \"a (m)\", or \"AB/2 (m)\" and \"MN/2 (m)\"");
  } else if (closest.has_spacing() && (closest.columns.size() > 1 || sheet_.rows.size() > 1)) {
    const std::string found = has_voltage_or_current ? "only one of V and I" : "neither R nor V and I";
    diagnostics_.error(closest.at, "no-reading-column", fmt::format("no column of readings: {}", found),
                       "add a column \"R (ohm)\", or both \"V (mV)\" and \"I (mA)\"");
  } else {
    diagnostics_.error({}, "no-header",
                       sheet_.rows.empty() ? "the sheet holds no rows"
                                           : "no row names a spacing column and a column of readings",
                       std::string(example));
  }
}

/// V and I, an error and a lone resistivity mean nothing without a unit; R is in ohm as testers show it, and
/// metres are taken for a spacing with a warning.
bool needs_unit(ColumnKind kind, const Header& header) {
  if (kind == ColumnKind::error || kind == ColumnKind::reversed_voltage ||
      kind == ColumnKind::reversed_current)
    return true;
  if (kind == ColumnKind::resistivity) return !header.has_resistance();
  return (kind == ColumnKind::voltage || kind == ColumnKind::current) && !header.has(ColumnKind::resistance);
}

std::string_view usual_unit(ColumnKind kind) {
  switch (kind) {
  case ColumnKind::voltage:
    return "mV";
  case ColumnKind::current:
    return "mA";
  case ColumnKind::resistivity:
    return "ohm m";
  case ColumnKind::error:
    return "%";
  default:
    return "m";
  }
}

void SheetReader::report_unknown_unit(const Column& column) {
  const bool is_resistivity_as_resistance =
      column.kind == ColumnKind::resistance &&
      detail::read_sheet_unit(column.unknown_unit, ColumnKind::resistivity).has_value();
  diagnostics_.error(
      column.at, "wrong-unit",
      fmt::format("column \"{}\" is in \"{}\"; {} may be in {}", column.title, column.unknown_unit,
                  noun(column.kind), detail::accepted_sheet_units(column.kind)),
      is_resistivity_as_resistance ? "if it holds the apparent resistivity, name it \"rho (ohm m)\""
                                   : "correct the unit in the header");
}

void SheetReader::check_units(const Header& header) {
  for (const Column& column : header.columns) {
    if (!column.unknown_unit.empty()) {
      report_unknown_unit(column);
    } else if (!column.unit && needs_unit(column.kind, header)) {
      diagnostics_.error(column.at, "no-unit",
                         fmt::format("column \"{}\" has no unit; {} may be in {}", column.title,
                                     noun(column.kind), detail::accepted_sheet_units(column.kind)),
                         fmt::format("write it into the header, for instance \"{} ({})\"", column.title,
                                     usual_unit(column.kind)));
    } else if (!column.unit && detail::dimension_of(column.kind) == Dimension::length &&
               is_number(column.kind)) {
      diagnostics_.warning(
          column.at, "no-unit", fmt::format("column \"{}\" has no unit: metres are taken", column.title),
          fmt::format("write it into the header: \"{0} (m)\" or \"{0} (ft)\"", column.title));
    }
  }
  for (const Column& column : header.repeated)
    diagnostics_.error(column.at, "repeated-column",
                       fmt::format("\"{}\" is a second column of {} (the first is \"{}\")", column.title,
                                   noun(column.kind), header.find(column.kind)->title),
                       "write one reading per row; put the line or the repeat into a column \"traverse\"");
}

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

void SheetReader::note_header(const Header& header) {
  std::string columns;
  for (const Column& column : header.columns)
    columns += (columns.empty() ? "" : "; ") + column_words(column);
  result_.notes.push_back(fmt::format("line {}: {}", header.at.line, columns));
  for (const Column& column : header.columns) {
    if (column.unit && column.unit->is_ohm_sign_lost)
      result_.notes.push_back(
          fmt::format("the unit of \"{}\" was read as an ohm sign lost in export", column.title));
  }
  if (header.unused.empty()) return;
  std::string unused;
  for (const std::string& title : header.unused)
    unused += fmt::format("{}\"{}\"", unused.empty() ? "" : ", ", title);
  result_.notes.push_back("columns not used: " + unused);
}

void SheetReader::take_header(const Header& header) {
  header_ = header;
  ++header_count_;
  if (detail::is_book(header)) superseded_ = detail::superseded_lines(sheet_, header);
  note_header(header);
  check_units(header);
  check_reading_columns(header);
}

// --- The cells -------------------------------------------------------------------------------------------

const text::Cell* SheetReader::cell(const text::Row& row, ColumnKind kind) const {
  const Column* column = header_.find(kind);
  return column != nullptr && column->index < row.cells.size() ? &row.cells[column->index] : nullptr;
}

Position SheetReader::position(const text::Row& row, ColumnKind kind) const {
  const text::Cell* found = cell(row, kind);
  return found != nullptr ? found->at : Position{row.line, 1};
}

Found SheetReader::refuse(Position at, std::string code, std::string message, std::string hint) {
  diagnostics_.error(at, std::move(code), std::move(message), std::move(hint));
  return {Found::State::refused, 0.0, at};
}

/// Factor to SI of a cell: its own unit if it has one, otherwise that of the column. "1.2k" is a prefix to
/// the column's unit, if that has no prefix itself.
std::optional<double> SheetReader::factor(const CellNumber& number, const Column& column) const {
  const double column_factor = column.unit ? column.unit->si_per_unit : 1.0;
  if (number.unit.empty()) return column_factor;
  const bool is_prefix_possible = column_factor == 1.0 &&
                                  detail::dimension_of(column.kind) != Dimension::length &&
                                  detail::dimension_of(column.kind) != Dimension::ratio;
  if (is_prefix_possible && number.unit == "k") return 1e3;
  if (is_prefix_possible && number.unit == "m") return 1e-3;
  const auto unit = detail::read_sheet_unit(number.unit, column.kind);
  const bool is_same_dimension =
      unit && (column.kind != ColumnKind::error || !column.unit || unit->dimension == column.unit->dimension);
  return is_same_dimension ? std::optional(unit->si_per_unit) : std::nullopt;
}

Found SheetReader::number(const text::Row& row, ColumnKind kind) {
  const Column* column = header_.find(kind);
  return column == nullptr ? Found{} : number_in(row, *column);
}

Found SheetReader::number_in(const text::Row& row, const Column& of) {
  const Column* column = &of;
  const ColumnKind kind = of.kind;
  const text::Cell* source = of.index < row.cells.size() ? &row.cells[of.index] : nullptr;
  if (source == nullptr) return {Found::State::empty, 0.0, {row.line, 1}};
  const CellNumber read = text::read_cell_number(*source, sheet_.has_decimal_comma);
  if (read.kind == CellNumber::Kind::empty) return {Found::State::empty, 0.0, source->at};
  if (read.kind == CellNumber::Kind::not_a_number)
    return refuse(
        source->at, "not-a-number",
        fmt::format("{}; column \"{}\" takes a {} as a number", read.problem, column->title, noun(kind)),
        "write a number such as 12.4; leave the cell empty if nothing was read, write \">1999\" if the "
        "tester was over range");
  const auto scale = factor(read, *column);
  if (!scale)
    return refuse(source->at, "wrong-unit",
                  fmt::format("\"{}\" is in \"{}\"; a {} may be in {}", source->text, read.unit, noun(kind),
                              detail::accepted_sheet_units(kind)),
                  "write the number in the unit of the column");
  const double value = read.value * *scale;
  if (read.kind == CellNumber::Kind::over_range) return {Found::State::over_range, value, source->at};

  const Plausible allowed = plausible(kind);
  const bool is_wrong_sign = value < 0.0 && !allowed.is_negative_allowed;
  if (is_wrong_sign || (value == 0.0 && !allowed.is_zero_allowed))
    return refuse(
        source->at, "not-positive",
        fmt::format("{} is \"{}\"; it must be {}", noun(kind), source->text,
                    allowed.is_zero_allowed ? "at least 0" : "greater than 0"),
        kind == ColumnKind::resistance || kind == ColumnKind::voltage
            ? "a negative reading means crossed leads or stray current, a zero a reading not taken: repeat "
              "it, or leave the cell empty"
            : "correct the cell");
  const double size = std::abs(value);
  if (size != 0.0 && (size < allowed.least || size > allowed.greatest))
    return refuse(source->at, "implausible",
                  fmt::format("{} \"{}\" is not from {} to {}", noun(kind), source->text,
                              format_quantity(allowed.least, detail::dimension_of(kind)),
                              format_quantity(allowed.greatest, detail::dimension_of(kind))),
                  "check the unit in the header and the decimal mark");
  return {Found::State::number, value, source->at};
}

// --- The reading -----------------------------------------------------------------------------------------

/// False if the array is stated but not known.
bool SheetReader::read_array(const text::Row& row, std::optional<Array>& array) {
  array = defaults_.array;
  const text::Cell* source = cell(row, ColumnKind::array);
  if (source == nullptr || source->text.empty()) return true;
  const std::string word = lowered(source->text);
  const auto has = [&](std::string_view part) { return word.find(part) != std::string::npos; };
  if (has("beta"))
    array = Array::wenner_beta;
  else if (has("gamma"))
    array = Array::wenner_gamma;
  else if (word == "w" || has("wenner"))
    array = Array::wenner;
  else if (word == "s" || has("schlum"))
    array = Array::schlumberger;
  else if (word == "dd" || has("dipole"))
    array = Array::dipole_dipole;
  else {
    diagnostics_.error(source->at, "array-unknown",
                       fmt::format("array \"{}\" is not known; it may be Wenner, Wenner beta, Wenner gamma, "
                                   "Schlumberger or dipole-dipole",
                                   source->text),
                       "write one of them, or leave the column out");
    return false;
  }
  return true;
}

/// AB/2 from either way of stating it.
Found SheetReader::half_of(const text::Row& row, ColumnKind half, ColumnKind full) {
  if (header_.has(half)) return number(row, half);
  Found found = number(row, full);
  found.si_value /= 2.0;
  return found;
}

std::optional<FourPoleReading> SheetReader::general_geometry(const text::Row& row, const Found& half_current,
                                                             const Found& half_potential) {
  FourPoleReading reading;
  reading.array = Array::schlumberger;
  reading.half_current_spacing_m = half_current.si_value;
  reading.half_potential_spacing_m = half_potential.si_value;
  reading.sheet_line = row.line;
  const Found offset = number(row, ColumnKind::potential_offset);
  if (offset.is_refused()) return std::nullopt;
  if (offset.is_number()) reading.potential_offset_m = offset.si_value;
  const double reach_m = reading.half_potential_spacing_m + std::abs(reading.potential_offset_m);
  if (reach_m < reading.half_current_spacing_m) return reading;
  refuse(half_potential.at, "wrong-order",
         fmt::format("MN/2 is {} and AB/2 is {}; MN must lie inside AB",
                     format_quantity(reading.half_potential_spacing_m, Dimension::length),
                     format_quantity(reading.half_current_spacing_m, Dimension::length)),
         "check whether the two columns were swapped, or whether one holds the full length");
  return std::nullopt;
}

/// Dipole-dipole: a is the length of both dipoles, n the gap over it.
std::optional<FourPoleReading> SheetReader::dipole_row(const text::Row& row, const Found& length) {
  const Found factor = number(row, ColumnKind::separation_factor);
  if (factor.is_refused()) return std::nullopt;
  if (!length.is_number() || !factor.is_number()) {
    refuse({row.line, 1}, "missing-spacing", "a dipole-dipole row needs the length a of its dipoles and n",
           "give a (m) and n; the nearer ends of the dipoles are n times a apart");
    return std::nullopt;
  }
  FourPoleReading reading = dipole_dipole_reading({length.si_value, factor.si_value * length.si_value}, 0.0);
  reading.sheet_line = row.line;
  return reading;
}

/// Array and spacings of a row; nothing if they are missing or wrong, which has then been reported.
std::optional<FourPoleReading> SheetReader::geometry(const text::Row& row) {
  std::optional<Array> array;
  const bool is_array_good = read_array(row, array);
  const Found spacing = number(row, ColumnKind::spacing);
  const Found half_current = half_of(row, ColumnKind::half_current_spacing, ColumnKind::current_spacing);
  const Found half_potential =
      half_of(row, ColumnKind::half_potential_spacing, ColumnKind::potential_spacing);
  for (const Found& found : {spacing, half_current, half_potential}) {
    if (found.is_over_range())
      refuse(found.at, "not-a-number", "a spacing cannot be over range", "measure it");
    if (found.is_over_range() || found.is_refused()) return std::nullopt;
  }
  if (!is_array_good) return std::nullopt;

  const bool is_wenner = array == Array::wenner;
  if (half_current.is_number() && half_potential.is_number()) {
    auto reading = general_geometry(row, half_current, half_potential);
    is_array_inferred_ = is_array_inferred_ || !array;
    if (reading && array) reading->array = *array;
    if (!reading || !is_wenner || is_wenner_geometry(*reading)) return reading;
    refuse(half_current.at, "not-wenner",
           fmt::format("AB/2 {} and MN/2 {} are no Wenner array; there AB is three times MN",
                       format_quantity(half_current.si_value, Dimension::length),
                       format_quantity(half_potential.si_value, Dimension::length)),
           "correct the spacing, or state Schlumberger");
    return std::nullopt;
  }
  if (array == Array::dipole_dipole) return dipole_row(row, spacing);
  if (spacing.is_number() && array != Array::schlumberger) {
    FourPoleReading reading = wenner_reading_of(array.value_or(Array::wenner), spacing.si_value, 0.0);
    reading.sheet_line = row.line;
    return reading;
  }
  if (half_current.is_number() && is_wenner) return wenner_row(row, half_current.si_value / 1.5);

  const bool is_half_missing = half_current.is_number() || half_potential.is_number() || spacing.is_number();
  refuse({row.line, 1}, "missing-spacing",
         is_half_missing ? "this row needs both AB/2 and MN/2" : "this row has a reading but no spacing",
         is_half_missing ? "give both, or a for a Wenner array"
                         : "write the spacing of every row into that row");
  return std::nullopt;
}

/// Mean of the single values; over range if one is, by the greatest bound.
Found SheetReader::mean_of_repeats(const text::Row& row, FourPoleReading* reading) {
  Found mean;
  std::vector<double> values_ohm;
  for (const Column& column : header_.columns) {
    if (column.kind != ColumnKind::repeat) continue;
    const Found found = number_in(row, column);
    if (found.is_refused() || found.is_over_range()) return found;
    if (found.is_number()) values_ohm.push_back(found.si_value);
    if (found.is_number() && !mean.is_number()) mean = found;
  }
  if (values_ohm.empty()) return {Found::State::empty, 0.0, {row.line, 1}};
  mean.si_value = 0.0;
  for (const double value_ohm : values_ohm)
    mean.si_value += value_ohm / static_cast<double>(values_ohm.size());
  if (reading != nullptr && values_ohm.size() > 1) reading->repeats_ohm = std::move(values_ohm);
  return mean;
}

/// The value with the current reversed, its sign turned back; nothing if the sheet has none.
Found SheetReader::reversed(const text::Row& row) {
  const Found shown = number(row, ColumnKind::reversed_resistance);
  if (!shown.is_missing()) return {shown.state, std::abs(shown.si_value), shown.at};
  const Found voltage = number(row, ColumnKind::reversed_voltage);
  const Found own_current = number(row, ColumnKind::reversed_current);
  if (voltage.is_missing()) return voltage;
  const Found current = own_current.is_missing() ? number(row, ColumnKind::current) : own_current;
  if (!voltage.is_number() || !current.is_number()) return {Found::State::refused, 0.0, voltage.at};
  // Both signs written: the ratio as it stands. The voltage's alone, or none: the current's is left out.
  const double ratio_ohm = current.si_value < 0.0 ? voltage.si_value / current.si_value
                                                  : std::abs(voltage.si_value) / current.si_value;
  return {Found::State::number, ratio_ohm, voltage.at};
}

/// The mean of both ways of the current; false if they cannot be one reading.
bool SheetReader::take_polarity(const text::Row& row, FourPoleReading& reading) {
  const Found back = reversed(row);
  if (back.is_missing() || back.is_over_range()) return true;
  if (back.is_refused()) return false;
  const double mean_ohm = 0.5 * (reading.resistance_ohm + back.si_value);
  if (!(mean_ohm > 0.0)) {
    refuse(back.at, "not-positive",
           fmt::format("the two ways of the current give {} and {}: their mean must be greater than 0",
                       format_quantity(reading.resistance_ohm, Dimension::resistance),
                       format_quantity(back.si_value, Dimension::resistance)),
           "a stray voltage is greater than the reading: repeat with more current or another frequency");
    return false;
  }
  reading.polarity = {reading.resistance_ohm, back.si_value};
  reading.resistance_ohm = mean_ohm;
  return true;
}

/// R, or the mean of its repeats, or V / I, or R from an apparent resistivity of known geometry.
Found SheetReader::resistance(const text::Row& row, std::optional<FourPoleReading>& geometry) {
  if (header_.has(ColumnKind::resistance)) {
    const Found found = number(row, ColumnKind::resistance);
    if (!found.is_missing() || !header_.has(ColumnKind::repeat)) return found;
  }
  if (header_.has(ColumnKind::repeat)) return mean_of_repeats(row, geometry ? &*geometry : nullptr);
  if (header_.has(ColumnKind::voltage) && header_.has(ColumnKind::current)) {
    const Found voltage = number(row, ColumnKind::voltage);
    const Found current = number(row, ColumnKind::current);
    if (voltage.is_refused() || current.is_refused()) return {Found::State::refused, 0.0, voltage.at};
    if (voltage.is_missing() && current.is_missing()) return voltage;
    if (voltage.is_missing() || current.is_missing())
      return refuse({row.line, 1}, "missing-reading",
                    fmt::format("this row has {} but not {}", voltage.is_missing() ? "I" : "V",
                                voltage.is_missing() ? "V" : "I"),
                    "give both, or leave both empty");
    if (voltage.is_over_range() && current.is_number() && voltage.si_value > 0.0)
      return {Found::State::over_range, voltage.si_value / current.si_value, voltage.at};
    if (voltage.is_over_range() || current.is_over_range())
      return {Found::State::over_range, 0.0, voltage.at};
    return {Found::State::number, voltage.si_value / current.si_value, voltage.at};
  }
  Found found = number(row, ColumnKind::resistivity);
  if (found.is_number() || found.is_over_range()) {
    if (!geometry) return {Found::State::refused, 0.0, found.at};
    found.si_value /=
        geometric_factor_m(*geometry);  // the driven depth has not been set: stakes at the surface
  }
  return found;
}

bool SheetReader::read_depth(const text::Row& row, FourPoleReading& reading) {
  const Found depth = number(row, ColumnKind::depth);
  if (depth.is_refused()) return false;
  reading.driven_depth_m = depth.is_number() ? depth.si_value : defaults_.driven_depth_m;
  reading.contact = defaults_.contact;
  const double gap_m = detail::stake_gap_m(reading);
  if (reading.driven_depth_m > detail::greatest_depth_ratio * gap_m)
    diagnostics_.warning(position(row, ColumnKind::depth), "deep-stakes",
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
  const Found error = number(row, ColumnKind::error);
  if (error.is_missing()) return combine(defaults_.relative_error_ratio);
  if (error.is_refused()) return false;
  const Column& column = *header_.find(ColumnKind::error);
  const bool is_in_ohm = column.unit && column.unit->dimension == Dimension::resistance;
  const double ratio = is_in_ohm ? error.si_value / reading.resistance_ohm : error.si_value;
  if (error.is_number() && ratio <= 1.0) return combine(ratio);
  refuse(error.at, "implausible",
         fmt::format("the stated error is {} % of the reading; it must be below 100 %",
                     format_number(100.0 * ratio)),
         "check the unit of the error column");
  return false;
}

/// A resistivity computed in the field beside R: a factor between the two means another formula or array.
void SheetReader::compare_with_resistivity(const text::Row& row, const FourPoleReading& reading) {
  if (!header_.has_resistance()) return;  // R was computed from it
  const Found stated = number(row, ColumnKind::resistivity);
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
    const auto column = std::find_if(header_.columns.begin(), header_.columns.end(),
                                     [&](const Column& c) { return c.index == i; });
    const bool is_looked_at = column != header_.columns.end() || i == 0;
    if (is_looked_at && is_summary_word(row.cells[i].text)) return true;
  }
  return false;
}

CellNumber::Kind SheetReader::kind_of(const text::Cell& source) const {
  return text::read_cell_number(source, sheet_.has_decimal_comma).kind;
}

/// A remark, a heading, a footer: no column of numbers holds one, and no spacing looks as if it were meant
/// to.
bool SheetReader::is_remark(const text::Row& row) const {
  const auto is_filled = [](const text::Cell& c) { return !c.text.empty(); };
  if (std::count_if(row.cells.begin(), row.cells.end(), is_filled) == 1)
    return kind_of(*std::find_if(row.cells.begin(), row.cells.end(), is_filled)) ==
           CellNumber::Kind::not_a_number;
  return std::none_of(header_.columns.begin(), header_.columns.end(), [&](const Column& column) {
    const text::Cell* source = cell(row, column.kind);
    if (source == nullptr || !is_number(column.kind)) return false;
    const CellNumber::Kind kind = kind_of(*source);
    const bool has_digit = source->text.find_first_of("0123456789") != std::string::npos;
    return kind == CellNumber::Kind::number || kind == CellNumber::Kind::over_range ||
           (detail::is_spacing(column.kind) && has_digit);
  });
}

bool SheetReader::has_reading(const text::Row& row) const {
  constexpr std::array<ColumnKind, 5> kinds{ColumnKind::resistance, ColumnKind::voltage, ColumnKind::current,
                                            ColumnKind::resistivity, ColumnKind::repeat};
  return std::any_of(header_.columns.begin(), header_.columns.end(), [&](const Column& column) {
    const bool is_reading = std::find(kinds.begin(), kinds.end(), column.kind) != kinds.end();
    return is_reading && column.index < row.cells.size() &&
           kind_of(row.cells[column.index]) != CellNumber::Kind::empty;
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
  if (!detail::is_accepted(row, header_)) {
    skip(row, "cut off by a crash and never accepted");
    return true;
  }
  if (const auto by = superseded_.find(row.line); by != superseded_.end()) {
    result_.notes.push_back(fmt::format("line {} is superseded by line {}", by->first, by->second));
    return true;
  }
  const std::string_view entry = detail::book_cell(row, header_, ColumnKind::entry);
  return entry != detail::entry_reading && entry != detail::entry_correction;
}

void SheetReader::read_row(const text::Row& row) {
  if (detail::is_book(header_) && is_out_of_the_book(row)) return;
  if (is_summary(row)) return skip(row, "it sums up other rows, and an average is never averaged");
  if (is_remark(row)) return skip(row, "no number in it");
  ++result_.data_row_count;
  if (!has_reading(row)) return skip(row, "no reading in it");
  auto reading = geometry(row);
  const Found measured = resistance(row, reading);
  if (measured.is_missing()) return skip(row, "no reading in it");
  if (measured.is_over_range()) {
    if (reading && measured.si_value > 0.0) add_bound(row, *reading, measured.si_value);
    return skip_over_range(row, measured.si_value);
  }
  if (!reading || measured.is_refused()) return;
  reading->resistance_ohm = measured.si_value;
  if (!take_polarity(row, *reading)) return;
  compare_with_resistivity(row, *reading);
  const Found contact = number(row, ColumnKind::contact_resistance);
  if (contact.is_number()) reading->contact_ohm = contact.si_value;
  const bool is_depth_good = read_depth(row, *reading);
  const bool is_error_good = read_error(row, *reading);
  if (!is_depth_good || !is_error_good || contact.is_refused()) return;
  reading->traverse = traverse_name(row);
  result_.readings.push_back(*reading);
}

std::string SheetReader::traverse_name(const text::Row& row) const {
  if (const text::Cell* traverse = cell(row, ColumnKind::traverse)) return traverse->text;
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
  const bool is_stated = defaults_.array.has_value() || header_.has(ColumnKind::array);
  if (!is_array_inferred_) {
    if (!is_stated) result_.notes.emplace_back("array not stated: one spacing a, a Wenner array");
    return;
  }
  const bool is_wenner = std::all_of(result_.readings.begin(), result_.readings.end(), is_wenner_geometry);
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
  if (result_.readings.empty() && !diagnostics_.has_errors())
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
  refuse({row.line, 1}, "not-a-number",
         fmt::format("\"{}\" is \"{}\"; it must be a {} with its unit", entry.key, entry.value,
                     dimension == Dimension::length ? "length" : "resistance"),
         dimension == Dimension::length ? "write for instance: Spacing error, 2 cm"
                                        : "write for instance: Last digit, 0.01 ohm");
}

FieldSheet SheetReader::read() {
  const std::string separator = sheet_.separator == '\t' ? "tab" : std::string("'") + sheet_.separator + "'";
  result_.notes.push_back(fmt::format("read as {}, cells separated by {}, decimal {}", sheet_.encoding,
                                      separator, sheet_.has_decimal_comma ? "comma" : "point"));
  const auto first = header_row();
  if (!first) {
    report_missing_header();
    return std::move(result_);
  }
  for (std::size_t i = 0; i < *first; ++i)
    take_record(sheet_.rows[i]);
  for (std::size_t i = *first; i < sheet_.rows.size(); ++i) {
    const Header header = detail::header_from(sheet_.rows, i);
    if (is_header(header)) {
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

FieldSheet read_field_sheet(std::string_view bytes, const SheetDefaults& defaults, Diagnostics& diagnostics) {
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

}  // namespace ohmroot::sounding
