// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/robust.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <cmath>

namespace ohmroot::sounding::detail {

std::optional<double> rod_misfit(const std::vector<DrivenRodReading>& rods, const earth::LayeredSoil& soil) {
  constexpr double tolerance_ratio = 5e-3;  // well below what a tester tells
  double sum = 0.0;
  try {
    for (const DrivenRodReading& reading : rods) {
      const double modelled_ohm = modelled_rod_resistance(soil, reading, {tolerance_ratio}).resistance_ohm;
      if (!(modelled_ohm > 0.0)) return std::nullopt;
      const double residual =
          residual_of(std::log(reading.resistance_ohm / modelled_ohm), reading.is_lower_bound);
      sum += robust_square(residual / reading.relative_error_ratio);
    }
  } catch (const DomainError&) {
    return std::nullopt;
  }
  return sum;
}

void require_valid(const std::vector<DrivenRodReading>& rods) {
  for (const DrivenRodReading& reading : rods) {
    require_positive("rods.resistance_ohm", reading.resistance_ohm, "ohm");
    require_within("rods.relative_error_ratio", reading.relative_error_ratio, "", {1e-6, 1.0});
    (void)modelled_rod_resistance(earth::LayeredSoil(100.0), reading);
  }
}

}  // namespace ohmroot::sounding::detail
