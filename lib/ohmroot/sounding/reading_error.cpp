// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/reading_error.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <cmath>
#include <numbers>

namespace ohmroot::sounding {
namespace {

StakePlaces places_of(const FourPoleReading& reading) {
  if (reading.places) return *reading.places;
  const double L = reading.half_current_spacing_m;
  const double l = reading.half_potential_spacing_m;
  const double x = reading.potential_offset_m;
  return {{-L, 0.0}, {L, 0.0}, {x - l, 0.0}, {x + l, 0.0}};
}

/// How 1/r between two stakes changes with the place of the first.
StakePlace gradient(const StakePlace& moved, const StakePlace& other) {
  const double dx_m = other.x_m - moved.x_m;
  const double dy_m = other.y_m - moved.y_m;
  const double cube = std::pow(std::hypot(dx_m, dy_m), 3.0);
  return {dx_m / cube, dy_m / cube};
}

/// Square of the change of the kernel with the place of a stake that counts 1/r to one stake, less that to
/// another.
double squared_change(const StakePlace& moved, const StakePlace& plus, const StakePlace& minus) {
  const StakePlace add = gradient(moved, plus);
  const StakePlace take = gradient(moved, minus);
  return std::pow(add.x_m - take.x_m, 2.0) + std::pow(add.y_m - take.y_m, 2.0);
}

}  // namespace

double spacing_error_ratio(const FourPoleReading& reading, double spacing_error_m) {
  require_not_negative("spacing_error_m", spacing_error_m, "m");
  FourPoleReading at_surface = reading;
  at_surface.driven_depth_m = 0.0;
  const double kernel_per_m = 2.0 * std::numbers::pi / geometric_factor_m(at_surface);
  const StakePlaces p = places_of(reading);
  const double squares = squared_change(p.current_a, p.potential_m, p.potential_n) +
                         squared_change(p.current_b, p.potential_m, p.potential_n) +
                         squared_change(p.potential_m, p.current_a, p.current_b) +
                         squared_change(p.potential_n, p.current_a, p.current_b);
  return spacing_error_m * std::sqrt(squares) / kernel_per_m;
}

double combined_error_ratio(const FourPoleReading& reading, const ErrorParts& parts) {
  require_not_negative("parts.instrument_ratio", parts.instrument_ratio, "");
  require_not_negative("parts.last_digit_ohm", parts.last_digit_ohm, "ohm");
  require_positive("reading.resistance_ohm", reading.resistance_ohm, "ohm");
  double sum = std::pow(parts.instrument_ratio, 2.0) +
               std::pow(parts.last_digit_ohm / reading.resistance_ohm, 2.0) / 12.0 +
               std::pow(spacing_error_ratio(reading, parts.spacing_error_m), 2.0);
  const double count = static_cast<double>(reading.repeats_ohm.size());
  if (count > 1.0) {
    double squares = 0.0;
    for (const double repeat_ohm : reading.repeats_ohm)
      squares += std::pow(repeat_ohm / reading.resistance_ohm - 1.0, 2.0);
    sum += squares / (count - 1.0) / count;
  }
  return std::sqrt(sum);
}

}  // namespace ohmroot::sounding
