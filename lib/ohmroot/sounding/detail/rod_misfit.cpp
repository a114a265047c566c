// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/robust.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <cmath>

namespace ohmroot::sounding::detail {

std::vector<double> rod_residuals(const std::vector<DrivenRodReading>& rods, const earth::LayeredSoil& soil) {
  const std::vector<double> modelled_ohm = quick_rod_resistances_ohm(soil, rods);
  std::vector<double> residuals;
  for (std::size_t i = 0; i < rods.size(); ++i) {
    constexpr double least_ratio = 1e-12;  // stakes so near that the reading turns about: a very bad fit
    const double ratio = modelled_ohm[i] / rods[i].resistance_ohm;
    residuals.push_back(
        residual_of(-std::log(ratio > least_ratio ? ratio : least_ratio), rods[i].is_lower_bound) /
        rods[i].relative_error_ratio);
  }
  return residuals;
}

double rod_misfit(const std::vector<DrivenRodReading>& rods, const earth::LayeredSoil& soil) {
  double sum = 0.0;
  for (const double residual : rod_residuals(rods, soil))
    sum += robust_square(residual);
  return sum;
}

void require_valid(const std::vector<DrivenRodReading>& rods) {
  for (const DrivenRodReading& reading : rods) {
    require_positive("rods.resistance_ohm", reading.resistance_ohm, "ohm");
    require_within("rods.relative_error_ratio", reading.relative_error_ratio, "", {1e-6, 1.0});
  }
  (void)quick_rod_resistances_ohm(earth::LayeredSoil(100.0), rods);
}

}  // namespace ohmroot::sounding::detail
