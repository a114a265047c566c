// SPDX-License-Identifier: MIT
#include "record_words.hpp"

#include "command.hpp"

#include <ohmroot/report/wrapped.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

namespace ohmroot::cli {
namespace {

constexpr std::size_t field_columns = 78;

std::string spacing_words(const sounding::FourPoleReading& reading) {
  if (reading.array == sounding::Array::wenner)
    return "a = " + format_given(2.0 * reading.half_potential_spacing_m, Dimension::length);
  return fmt::format("AB/2 = {}, MN/2 = {}", format_given(reading.half_current_spacing_m, Dimension::length),
                     format_given(reading.half_potential_spacing_m, Dimension::length));
}

/// "repeat 3 at this place: 9.40, 9.40, 9.90 ohm (lines 3, 4, 5); mean 9.57 ohm"; empty for the first.
std::string repeats_words(const std::vector<const sounding::BookReading*>& here) {
  if (here.size() < 2) return {};
  std::string values;
  std::string lines;
  double sum_ohm = 0.0;
  for (const sounding::BookReading* one : here) {
    const char* gap = values.empty() ? "" : ", ";
    values += gap + format_given(one->reading.resistance_ohm, Dimension::resistance);
    lines += fmt::format("{}{}", gap, one->reading.sheet_line);
    sum_ohm += one->reading.resistance_ohm;
  }
  return fmt::format(
      "{} readings at this place: {} (lines {}); they count as one, of {}. If it was another line "
      "of stakes: withdraw it, then along NAME, and type it again.",
      here.size(), values, lines,
      format_quantity(sum_ohm / static_cast<double>(here.size()), Dimension::resistance));
}

}  // namespace

std::string said(std::string_view text, int indent) {
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  return report::wrapped(text, {margin, margin}, field_columns);
}

std::string item(std::string_view text) {
  return report::wrapped(text, {"  - ", "    "}, field_columns);
}

std::string reading_words(const sounding::FourPoleReading& reading) {
  if (!reading.is_lower_bound)
    return fmt::format(
        "{}, R = {}, apparent resistivity {}", spacing_words(reading),
        format_given(reading.resistance_ohm, Dimension::resistance),
        format_quantity(sounding::apparent_resistivity_ohm_m(reading), Dimension::resistivity));
  return fmt::format("{}, over range: kept as a bound, not as a reading; wet or add stakes and repeat",
                     spacing_words(reading));
}

std::vector<std::string> reading_cells(const sounding::FourPoleReading& reading) {
  if (reading.is_lower_bound) return {spacing_words(reading), "over range", ""};
  return {spacing_words(reading), format_given(reading.resistance_ohm, Dimension::resistance),
          format_quantity(sounding::apparent_resistivity_ohm_m(reading), Dimension::resistivity)};
}

void print_kept(const RecordSession& session, const KeptReading& kept, int replaced_line) {
  print(said(fmt::format("line {} is on disk: {}", kept.line, reading_words(kept.reading))));
  if (replaced_line > 0) print(fmt::format("  in place of line {}\n", replaced_line));
  if (const std::string repeats = repeats_words(session.book().at_place_of(kept.line)); !repeats.empty())
    print(said(repeats, 2));
  if (!session.clock_doubt().empty()) print("  marked, clock in doubt\n");
  if (!kept.safety.empty()) print(said("marked, safe working: " + kept.safety, 2));
  if (!kept.new_doubts.empty()) print("DOUBTFUL\n");
  for (const sounding::ReadingDoubt& doubt : kept.new_doubts)
    print(item(doubt.sentence));
  if (const std::string judged = session.judged(kept.line); !judged.empty()) print(said(judged, 2));
  if (!kept.reading.is_lower_bound) print(session.curve(kept.line));
}

}  // namespace ohmroot::cli
