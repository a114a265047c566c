// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/detail/reading_reader.hpp>

#include <numeric>

namespace ohmroot::study::detail {
namespace {

using sounding::Array;
using sounding::FourPoleReading;
using text::Section;

/// False, and a message, if one of the keys is missing.
bool has_all(const Section& section, std::initializer_list<std::string_view> keys, std::string message) {
  bool is_complete = true;
  for (const std::string_view key : keys)
    is_complete = is_complete && section.has(key);
  if (!is_complete) section.error("", "missing-key", std::move(message));
  return is_complete;
}

/// Stakes of a Wenner array in any order of the leads.
std::optional<FourPoleReading> by_spacing(const Section& section, Array array) {
  if (!has_all(section, {"spacing"}, "a Wenner reading needs its spacing a")) return std::nullopt;
  const auto spacing_m = section.quantity("spacing");
  if (!spacing_m) return std::nullopt;
  return sounding::wenner_reading_of(array, *spacing_m, 1.0);
}

std::optional<FourPoleReading> by_half_spacings(const Section& section, Array array) {
  if (!has_all(
          section, {"half_current_spacing", "half_potential_spacing"},
          array == Array::schlumberger
              ? "a Schlumberger reading needs half_current_spacing (AB/2) and half_potential_spacing (MN/2)"
              : "a dipole-dipole reading needs half_current_spacing (AB/2), half_potential_spacing (MN/2) "
                "and "
                "potential_offset"))
    return std::nullopt;
  const auto current_m = section.quantity("half_current_spacing");
  const auto potential_m = section.quantity("half_potential_spacing");
  if (!current_m || !potential_m) return std::nullopt;
  if (array == Array::schlumberger && !(*potential_m < *current_m)) {
    section.error("half_potential_spacing", "out-of-range", "MN/2 must be less than AB/2",
                  "the current stakes stand outside the potential stakes");
    return std::nullopt;
  }
  FourPoleReading reading;
  reading.array = array;
  reading.half_current_spacing_m = *current_m;
  reading.half_potential_spacing_m = *potential_m;
  reading.potential_offset_m = section.quantity("potential_offset").value_or(0.0);
  return reading;
}

std::optional<FourPoleReading> by_places(const Section& section) {
  constexpr std::string_view rule = "four points need places: the stakes A, B, M and N, each [x, y]";
  if (!has_all(section, {"places"}, std::string(rule))) return std::nullopt;
  const auto points = section.points("places");
  if (!points) return std::nullopt;
  if (points->size() != 4) {
    section.error("places", "wrong-count", std::string(rule));
    return std::nullopt;
  }
  const auto place = [&](std::size_t i) { return sounding::StakePlace{(*points)[i].x_m, (*points)[i].y_m}; };
  return sounding::four_point_reading({place(0), place(1), place(2), place(3)}, 1.0);
}

std::optional<FourPoleReading> stakes_of(const Section& section, Array array) {
  switch (array) {
  case Array::wenner:
  case Array::wenner_beta:
  case Array::wenner_gamma:
    return by_spacing(section, array);
  case Array::four_points:
    return by_places(section);
  default:
    return by_half_spacings(section, array);
  }
}

}  // namespace

std::optional<FourPoleReading> read_reading(const Section& section, const sounding::SheetDefaults& defaults) {
  const auto array = value_of(section.text("array"), array_words);
  const auto resistance_ohm = section.quantity("resistance");
  if (!array || !resistance_ohm) return std::nullopt;
  auto reading = stakes_of(section, *array);
  if (!reading) return std::nullopt;
  reading->resistance_ohm = *resistance_ohm;
  reading->driven_depth_m = section.quantity("stake_depth").value_or(defaults.driven_depth_m);
  reading->contact = value_of(section.text("stake_contact"), contact_words).value_or(defaults.contact);
  reading->relative_error_ratio = section.quantity("error").value_or(defaults.relative_error_ratio);
  reading->traverse = section.text("traverse").value_or("");
  reading->sheet_line = section.count("sheet_line").value_or(0);
  reading->repeats_ohm = section.quantities("repeats").value_or(std::vector<double>{});
  if (const auto ways_ohm = section.quantities("both_ways"); ways_ohm && ways_ohm->size() == 2)
    reading->polarity = sounding::PolarityPair{ways_ohm->front(), ways_ohm->back()};
  else if (ways_ohm)
    section.error("both_ways", "wrong-count", "give two resistances: forward, and with the current reversed");
  reading->contact_ohm = section.quantity("contact_resistance");
  try {
    static_cast<void>(sounding::apparent_resistivity_ohm_m(*reading));
  } catch (const DomainError& error) {
    section.error("", "out-of-range", error.what(), "check the places of the four stakes");
    return std::nullopt;
  }
  reading->is_lower_bound = section.flag("over_range").value_or(false);
  return reading;
}

}  // namespace ohmroot::study::detail
