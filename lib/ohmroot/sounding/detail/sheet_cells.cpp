// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/sheet_cells.hpp>

#include <fmt/format.h>

#include <cmath>

namespace ohmroot::sounding::detail {
namespace {

using text::CellNumber;

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
  case ColumnKind::place_of_a:
  case ColumnKind::place_of_b:
  case ColumnKind::place_of_m:
  case ColumnKind::place_of_n:
  case ColumnKind::offset_of_a:
  case ColumnKind::offset_of_b:
  case ColumnKind::offset_of_m:
  case ColumnKind::offset_of_n:
    return {1e-3, 1e5, true, true};
  case ColumnKind::separation_factor:
    return {0.1, 1000.0};
  case ColumnKind::resistivity:
    return {1e-3, 1e8};
  case ColumnKind::depth:
    return {1e-4, 100.0, true};
  case ColumnKind::rod_length:
    return {0.05, 100.0};
  case ColumnKind::rod_diameter:
    return {1e-3, 0.2};
  case ColumnKind::error:
    return {1e-5, 1e7};
  default:
    return {1e-3, 1e5};
  }
}

}  // namespace

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
  case ColumnKind::rod_length:
    return "driven length of a rod";
  case ColumnKind::rod_diameter:
    return "diameter of a rod";
  case ColumnKind::rod_current_stake:
    return "distance of the current stake from the rod";
  case ColumnKind::rod_potential_stake:
    return "distance of the potential stake from the rod";
  case ColumnKind::rod_name:
    return "name of the rod";
  case ColumnKind::error:
    return "error";
  case ColumnKind::traverse:
    return "traverse";
  case ColumnKind::array:
    return "array";
  case ColumnKind::entry:
    return "kind of the line";
  case ColumnKind::replaces:
    return "line that is replaced";
  case ColumnKind::accepted:
    return "mark of a whole line";
  default:
    return "spacing";
  }
}

std::string column_words(const Column& column) {
  if (!is_number(column.kind)) return fmt::format("\"{}\" as {}", column.title, noun(column.kind));
  const std::string_view unit = column.unit ? std::string_view() : unit_text(dimension_of(column.kind));
  return fmt::format("\"{}\" as {}{}{}", column.title, noun(column.kind), unit.empty() ? "" : ", taken in ",
                     unit);
}

const text::Cell* SheetCells::cell(const text::Row& row, ColumnKind kind) const {
  const Column* column = header_.find(kind);
  return column != nullptr && column->index < row.cells.size() ? &row.cells[column->index] : nullptr;
}

Position SheetCells::position(const text::Row& row, ColumnKind kind) const {
  const text::Cell* found = cell(row, kind);
  return found != nullptr ? found->at : Position{row.line, 1};
}

Found SheetCells::refuse(Position at, std::string code, std::string message, std::string hint) {
  diagnostics_.error(at, std::move(code), std::move(message), std::move(hint));
  return {Found::State::refused, 0.0, at};
}

/// Factor to SI of a cell: its own unit if it has one, otherwise that of the column. "1.2k" is a prefix to
/// the column's unit, if that has no prefix itself.
std::optional<double> SheetCells::factor(const CellNumber& number, const Column& column) const {
  const double column_factor = column.unit ? column.unit->si_per_unit : 1.0;
  if (number.unit.empty()) return column_factor;
  const bool is_prefix_possible = column_factor == 1.0 && dimension_of(column.kind) != Dimension::length &&
                                  dimension_of(column.kind) != Dimension::ratio;
  if (is_prefix_possible && number.unit == "k") return 1e3;
  if (is_prefix_possible && number.unit == "m") return 1e-3;
  const auto unit = read_sheet_unit(number.unit, column.kind);
  const bool is_same_dimension =
      unit && (column.kind != ColumnKind::error || !column.unit || unit->dimension == column.unit->dimension);
  return is_same_dimension ? std::optional(unit->si_per_unit) : std::nullopt;
}

Found SheetCells::number(const text::Row& row, ColumnKind kind) {
  const Column* column = header_.find(kind);
  return column == nullptr ? Found{} : number_in(row, *column);
}

Found SheetCells::number_in(const text::Row& row, const Column& of) {
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
                              accepted_sheet_units(kind)),
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
                              format_quantity(allowed.least, dimension_of(kind)),
                              format_quantity(allowed.greatest, dimension_of(kind))),
                  "check the unit in the header and the decimal mark");
  return {Found::State::number, value, source->at};
}

CellNumber::Kind SheetCells::kind_of(const text::Cell& source) const {
  return text::read_cell_number(source, sheet_.has_decimal_comma).kind;
}

}  // namespace ohmroot::sounding::detail
