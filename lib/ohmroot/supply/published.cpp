// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/published.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::supply {

namespace {

double phasor_sum_a(const std::array<double, 3>& current_a, double half_sqrt3) {
  for (const double phase_a : current_a)
    require_finite("phase_current_a", phase_a, "A");
  return std::hypot(current_a[0] - 0.5 * (current_a[1] + current_a[2]),
                    half_sqrt3 * (current_a[1] - current_a[2]));
}

}  // namespace

double neutral_current_a(const std::array<double, 3>& phase_current_a) {
  return phasor_sum_a(phase_current_a, std::sqrt(3.0) / 2.0);
}

double neutral_current_as_printed_a(const std::array<double, 3>& phase_current_a) {
  return phasor_sum_a(phase_current_a, 0.866);
}

double balanced_base_a(const ChargeOnBalancedBase& charge) {
  require_not_negative("charge.charge_current_a", charge.charge_current_a, "A");
  require_positive("charge.nominal_v", charge.nominal_v, "V");
  require_positive("charge.source_v", charge.source_v, "V");
  require_positive("charge.limit_v", charge.limit_v, "V");
  double earth_a = 0.0;  // current that the electrode would take at nominal voltage
  if (charge.earth_resistance_ohm) {
    require_positive("charge.earth_resistance_ohm", *charge.earth_resistance_ohm, "ohm");
    earth_a = charge.nominal_v / *charge.earth_resistance_ohm;
  }
  const double wanting_a = charge.charge_current_a * (charge.source_v / charge.limit_v - 1.0) - earth_a;
  return std::max(0.0, wanting_a / 3.0);
}

std::array<bool, 3> is_outside_window(const std::array<double, 3>& line_to_neutral_v,
                                      const VoltageWindow& window) {
  std::array<bool, 3> outside{};
  std::transform(line_to_neutral_v.begin(), line_to_neutral_v.end(), outside.begin(),
                 [&window](double voltage_v) {
                   return !(voltage_v >= window.least_v && voltage_v <= window.greatest_v);
                 });
  return outside;
}

}  // namespace ohmroot::supply
