// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/reading.hpp>

namespace ohmroot::sounding {

FourPoleReading wenner_reading(double spacing_m, double resistance_ohm) {
  FourPoleReading reading;
  reading.array = Array::wenner;
  reading.half_current_spacing_m = 1.5 * spacing_m;
  reading.half_potential_spacing_m = 0.5 * spacing_m;
  reading.resistance_ohm = resistance_ohm;
  return reading;
}

double plotted_spacing_m(const FourPoleReading& reading) {
  return reading.array == Array::wenner ? 2.0 * reading.half_potential_spacing_m
                                        : reading.half_current_spacing_m;
}

}  // namespace ohmroot::sounding
