// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <algorithm>

namespace ohmroot::sounding {

FourPoleReading wenner_reading(double spacing_m, double resistance_ohm) {
  FourPoleReading reading;
  reading.array = Array::wenner;
  reading.half_current_spacing_m = 1.5 * spacing_m;
  reading.half_potential_spacing_m = 0.5 * spacing_m;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

FourPoleReading wenner_reading_of(Array array, double spacing_m, double resistance_ohm) {
  FourPoleReading reading = wenner_reading(spacing_m, resistance_ohm);
  reading.array = array;
  switch (array) {
  case Array::wenner:
    break;
  case Array::wenner_beta:
    reading.half_current_spacing_m = 0.5 * spacing_m;
    reading.potential_offset_m = 2.0 * spacing_m;
    break;
  case Array::wenner_gamma:
    reading.half_current_spacing_m = spacing_m;
    reading.half_potential_spacing_m = spacing_m;
    reading.potential_offset_m = spacing_m;
    break;
  default:
    throw DomainError("array", "not a Wenner array", "wenner, wenner_beta or wenner_gamma");
  }
  return reading;
}

std::optional<double> wenner_spacing_m(const FourPoleReading& reading) {
  switch (reading.array) {
  case Array::wenner:
    return 2.0 * reading.half_potential_spacing_m;
  case Array::wenner_beta:
    return 2.0 * reading.half_current_spacing_m;
  case Array::wenner_gamma:
    return reading.half_current_spacing_m;
  default:
    return std::nullopt;
  }
}

FourPoleReading dipole_dipole_reading(const DipoleSpacing& spacing, double resistance_ohm) {
  FourPoleReading reading;
  reading.array = Array::dipole_dipole;
  reading.half_current_spacing_m = 0.5 * spacing.dipole_m;
  reading.half_potential_spacing_m = 0.5 * spacing.dipole_m;
  reading.potential_offset_m = spacing.dipole_m + spacing.gap_m;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

FourPoleReading four_point_reading(const StakePlaces& places, double resistance_ohm) {
  FourPoleReading reading;
  reading.array = Array::four_points;
  reading.places = places;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

std::vector<std::size_t> traverse_indices(const std::vector<FourPoleReading>& readings) {
  std::vector<std::string> names;
  std::vector<std::size_t> indices;
  for (const FourPoleReading& reading : readings) {
    const auto known = std::find(names.begin(), names.end(), reading.traverse);
    indices.push_back(static_cast<std::size_t>(known - names.begin()));
    if (known == names.end()) names.push_back(reading.traverse);
  }
  return indices;
}

}  // namespace ohmroot::sounding
