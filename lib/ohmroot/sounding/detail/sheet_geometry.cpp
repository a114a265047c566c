// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/sheet_geometry.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

std::string lowered(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; });
  return text;
}

FourPoleReading wenner_row(const text::Row& row, double spacing_m) {
  FourPoleReading reading = wenner_reading(spacing_m, 0.0);
  reading.sheet_line = row.line;
  return reading;
}

/// x and y of each stake: A, B, M, N.
constexpr std::array<ColumnKind, 8> coordinates{
    ColumnKind::place_of_a, ColumnKind::offset_of_a, ColumnKind::place_of_b, ColumnKind::offset_of_b,
    ColumnKind::place_of_m, ColumnKind::offset_of_m, ColumnKind::place_of_n, ColumnKind::offset_of_n};

/// Reads where the stakes of one row stand.
class RowReader {
public:
  RowReader(const text::Row& row, SheetCells& cells, std::optional<Array> default_array)
      : row_(row), cells_(cells), default_array_(default_array) {}

  std::optional<FourPoleReading> geometry();
  [[nodiscard]] bool is_array_inferred() const { return is_array_inferred_; }

private:
  bool read_array(std::optional<Array>& array);
  Found half_of(ColumnKind half, ColumnKind full);
  std::optional<FourPoleReading> general_geometry(const Found& half_current, const Found& half_potential);
  std::optional<FourPoleReading> dipole_row(const Found& length);
  std::optional<FourPoleReading> four_point_row(const std::optional<Array>& array);

  Found number(ColumnKind kind) { return cells_.number(row_, kind); }
  void refuse(Position at, std::string code, std::string message, std::string hint) {
    static_cast<void>(cells_.refuse(at, std::move(code), std::move(message), std::move(hint)));
  }

  const text::Row& row_;
  SheetCells& cells_;
  std::optional<Array> default_array_;
  bool is_array_inferred_ = false;
};

/// False if the array is stated but not known.
bool RowReader::read_array(std::optional<Array>& array) {
  const text::Cell* source = cells_.cell(row_, ColumnKind::array);
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
  else if (has("four point") || has("coordinates"))
    array = Array::four_points;
  else {
    refuse(source->at, "array-unknown",
           fmt::format("array \"{}\" is not known; it may be Wenner, Wenner beta, Wenner gamma, "
                       "Schlumberger, dipole-dipole or four points",
                       source->text),
           "write one of them, or leave the column out");
    return false;
  }
  return true;
}

/// AB/2 from either way of stating it.
Found RowReader::half_of(ColumnKind half, ColumnKind full) {
  if (cells_.header().has(half)) return number(half);
  Found found = number(full);
  found.si_value /= 2.0;
  return found;
}

std::optional<FourPoleReading> RowReader::general_geometry(const Found& half_current,
                                                           const Found& half_potential) {
  FourPoleReading reading;
  reading.array = Array::schlumberger;
  reading.half_current_spacing_m = half_current.si_value;
  reading.half_potential_spacing_m = half_potential.si_value;
  reading.sheet_line = row_.line;
  const Found offset = number(ColumnKind::potential_offset);
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
std::optional<FourPoleReading> RowReader::dipole_row(const Found& length) {
  const Found factor = number(ColumnKind::separation_factor);
  if (factor.is_refused()) return std::nullopt;
  if (!length.is_number() || !factor.is_number()) {
    refuse({row_.line, 1}, "missing-spacing", "a dipole-dipole row needs the length a of its dipoles and n",
           "give a (m) and n; the nearer ends of the dipoles are n times a apart");
    return std::nullopt;
  }
  FourPoleReading reading = dipole_dipole_reading({length.si_value, factor.si_value * length.si_value}, 0.0);
  reading.sheet_line = row_.line;
  return reading;
}

/// Four stakes by their coordinates. A column that is missing altogether is 0: all stakes on one line.
std::optional<FourPoleReading> RowReader::four_point_row(const std::optional<Array>& array) {
  if (array && *array != Array::four_points) {
    refuse({row_.line, 1}, "wrong-array", "the row has coordinates of stakes and names another array",
           "leave the array out, or the coordinates");
    return std::nullopt;
  }
  std::array<double, coordinates.size()> values_m{};
  for (std::size_t i = 0; i < coordinates.size(); ++i) {
    const Found found = number(coordinates.at(i));
    if (found.is_refused()) return std::nullopt;
    if (found.is_number()) values_m.at(i) = found.si_value;
    const bool is_left_out = i % 2 == 1 && found.state == Found::State::absent;
    if (found.is_number() || is_left_out) continue;
    refuse({row_.line, 1}, "missing-spacing", "a reading by coordinates needs all four stakes",
           "give Ax, Bx, Mx and Nx (m), with Ay, By, My and Ny if they are not on one line");
    return std::nullopt;
  }
  const StakePlaces places{{values_m[0], values_m[1]},
                           {values_m[2], values_m[3]},
                           {values_m[4], values_m[5]},
                           {values_m[6], values_m[7]}};
  try {
    FourPoleReading reading = four_point_reading(places, 1.0);
    reading.resistance_ohm = 0.0;
    reading.sheet_line = row_.line;
    static_cast<void>(geometric_factor_m(reading));
    return reading;
  } catch (const DomainError& error) {
    refuse({row_.line, 1}, "wrong-place", error.what(), "check the coordinates of the four stakes");
    return std::nullopt;
  }
}

/// Array and spacings of a row; nothing if they are missing or wrong, which has then been reported.
std::optional<FourPoleReading> RowReader::geometry() {
  std::optional<Array> array = default_array_;
  const bool is_array_good = read_array(array);
  const bool has_places = std::any_of(coordinates.begin(), coordinates.end(), [&](ColumnKind kind) {
    const text::Cell* source = cells_.cell(row_, kind);
    return source != nullptr && !source->text.empty();
  });
  if (has_places || array == Array::four_points) return is_array_good ? four_point_row(array) : std::nullopt;
  const Found spacing = number(ColumnKind::spacing);
  const Found half_current = half_of(ColumnKind::half_current_spacing, ColumnKind::current_spacing);
  const Found half_potential = half_of(ColumnKind::half_potential_spacing, ColumnKind::potential_spacing);
  for (const Found& found : {spacing, half_current, half_potential}) {
    if (found.is_over_range())
      refuse(found.at, "not-a-number", "a spacing cannot be over range", "measure it");
    if (found.is_over_range() || found.is_refused()) return std::nullopt;
  }
  if (!is_array_good) return std::nullopt;

  const bool is_wenner = array == Array::wenner;
  if (half_current.is_number() && half_potential.is_number()) {
    auto reading = general_geometry(half_current, half_potential);
    is_array_inferred_ = !array;
    if (reading && array) reading->array = *array;
    if (!reading || !is_wenner || is_wenner_geometry(*reading)) return reading;
    refuse(half_current.at, "not-wenner",
           fmt::format("AB/2 {} and MN/2 {} are no Wenner array; there AB is three times MN",
                       format_quantity(half_current.si_value, Dimension::length),
                       format_quantity(half_potential.si_value, Dimension::length)),
           "correct the spacing, or state Schlumberger");
    return std::nullopt;
  }
  if (array == Array::dipole_dipole) return dipole_row(spacing);
  if (spacing.is_number() && array != Array::schlumberger) {
    FourPoleReading reading = wenner_reading_of(array.value_or(Array::wenner), spacing.si_value, 0.0);
    reading.sheet_line = row_.line;
    return reading;
  }
  if (half_current.is_number() && is_wenner) return wenner_row(row_, half_current.si_value / 1.5);

  const bool is_half_missing = half_current.is_number() || half_potential.is_number() || spacing.is_number();
  refuse({row_.line, 1}, "missing-spacing",
         is_half_missing ? "this row needs both AB/2 and MN/2" : "this row has a reading but no spacing",
         is_half_missing ? "give both, or a for a Wenner array"
                         : "write the spacing of every row into that row");
  return std::nullopt;
}

}  // namespace

bool is_wenner_geometry(const FourPoleReading& reading) {
  return reading.potential_offset_m == 0.0 &&
         std::abs(reading.half_current_spacing_m - 3.0 * reading.half_potential_spacing_m) <=
             0.01 * reading.half_current_spacing_m;
}

RowGeometry geometry_of(const text::Row& row, SheetCells& cells, std::optional<Array> default_array) {
  RowReader reader(row, cells, default_array);
  std::optional<FourPoleReading> reading = reader.geometry();
  return {std::move(reading), reader.is_array_inferred()};
}

}  // namespace ohmroot::sounding::detail
