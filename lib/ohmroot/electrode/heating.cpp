// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/heating.hpp>

#include <boost/math/quadrature/exp_sinh.hpp>
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/special_functions/factorials.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::electrode {
namespace {

constexpr double pi = 3.14159265358979323846;

void require_valid(const SteadySoil& soil) {
  require_positive("soil.resistivity_ohm_m", soil.resistivity_ohm_m, "ohm m");
  require_positive("soil.thermal_conductivity_w_per_m_k", soil.thermal_conductivity_w_per_m_k, "W/(m K)");
}

void require_valid(const LeakingBar& bar, const SoilHeat& heat) {
  require_positive("bar.radius_m", bar.radius_m, "m");
  require_not_negative("bar.current_a_per_m", bar.current_a_per_m, "A/m");
  require_positive("bar.resistivity_ohm_m", bar.resistivity_ohm_m, "ohm m");
  require_positive("heat.thermal_conductivity_w_per_m_k", heat.thermal_conductivity_w_per_m_k, "W/(m K)");
  require_positive("heat.heat_capacity_j_per_m3_k", heat.heat_capacity_j_per_m3_k, "J/(m3 K)");
}

void require_valid(const ShortTime& duty) {
  require_positive("duty.resistivity_ohm_m", duty.resistivity_ohm_m, "ohm m");
  require_within("duty.time_s", duty.time_s, "s", {0.001, 100.0});
}

/// The transform times exp(z) in both Bessel functions, z = sqrt s, so that neither vanishes for large z.
double transform(double s) {
  const double z = std::sqrt(s);
  thread_local boost::math::quadrature::exp_sinh<double>
      integrator;                // not const: it adds levels as it needs them
  constexpr double far = 690.0;  // K0 is not a normal number beyond
  const double integral = integrator.integrate(
      [z](double v) {
        const double u = z + v;
        return u > far ? 0.0 : boost::math::cyl_bessel_k(0, u) * std::exp(z) / u;
      },
      1e-11);
  return integral / (s * z * boost::math::cyl_bessel_k(1, z) * std::exp(z));
}

constexpr int stehfest_count = 12;

std::array<double, stehfest_count> stehfest_weights() {
  std::array<double, stehfest_count> weights{};
  constexpr unsigned half = stehfest_count / 2;
  const auto factorial = [](unsigned n) { return boost::math::factorial<double>(n); };
  for (unsigned i = 1; i <= stehfest_count; ++i) {
    double sum = 0.0;
    for (unsigned k = (i + 1) / 2; k <= std::min(i, half); ++k)
      sum +=
          std::pow(k, half) * factorial(2 * k) /
          (factorial(half - k) * factorial(k) * factorial(k - 1) * factorial(i - k) * factorial(2 * k - i));
    weights[i - 1] = (half + i) % 2 == 0 ? sum : -sum;
  }
  return weights;
}

}  // namespace

double steady_rise_k(double voltage_v, const SteadySoil& soil) {
  require_not_negative("voltage_v", voltage_v, "V");
  require_valid(soil);
  return voltage_v * voltage_v / (2.0 * soil.resistivity_ohm_m * soil.thermal_conductivity_w_per_m_k);
}

double long_duration_voltage_v(double rise_k, const SteadySoil& soil) {
  require_not_negative("rise_k", rise_k, "K");
  require_valid(soil);
  return std::sqrt(2.0 * soil.resistivity_ohm_m * soil.thermal_conductivity_w_per_m_k * rise_k);
}

double radial_rise_ratio(double fourier_ratio) {
  require_within("fourier_ratio", fourier_ratio, "", {0.0, 1e12});
  // Little heat has flowed yet: the transform for large s is 1 / s^2 - 2 / s^(5/2), and K0 cannot follow it there.
  constexpr double soon_ratio = 4e-5;
  if (fourier_ratio < soon_ratio)
    return fourier_ratio * (1.0 - 8.0 / (3.0 * std::sqrt(pi)) * std::sqrt(fourier_ratio));
  static const std::array<double, stehfest_count> weights = stehfest_weights();
  const double rate = std::log(2.0) / fourier_ratio;
  double sum = 0.0;
  for (int i = 1; i <= stehfest_count; ++i)
    sum += weights[static_cast<std::size_t>(i - 1)] * transform(i * rate);
  return sum * rate;
}

double radial_rise_k(const LeakingBar& bar, const SoilHeat& heat, double time_s) {
  require_valid(bar, heat);
  require_not_negative("time_s", time_s, "s");
  const double scale_k = bar.resistivity_ohm_m * bar.current_a_per_m * bar.current_a_per_m /
                         (4.0 * pi * pi * heat.thermal_conductivity_w_per_m_k);
  const double fourier_ratio = heat.thermal_conductivity_w_per_m_k * time_s /
                               (heat.heat_capacity_j_per_m3_k * bar.radius_m * bar.radius_m);
  return scale_k * radial_rise_ratio(fourier_ratio);
}

std::optional<double> time_to_rise_s(const LeakingBar& bar, const SoilHeat& heat,
                                     const RiseQuestion& question) {
  require_positive("question.rise_k", question.rise_k, "K");
  require_not_negative("question.steady_rise_k", question.steady_rise_k, "K");
  require_valid(bar, heat);
  constexpr double longest_s = 100.0 * 365.25 * 86400.0;
  if (question.steady_rise_k < question.rise_k || radial_rise_k(bar, heat, longest_s) < question.rise_k)
    return std::nullopt;
  double low = std::log(1e-6);
  double high = std::log(longest_s);
  if (radial_rise_k(bar, heat, std::exp(low)) >= question.rise_k) return std::exp(low);
  constexpr double close = 1e-5;  // of the logarithm: the curve itself is not better
  while (high - low > close) {
    const double middle = 0.5 * (low + high);
    (radial_rise_k(bar, heat, std::exp(middle)) < question.rise_k ? low : high) = middle;
  }
  return std::exp(high);
}

double current_density_a_per_m2(const ShortTime& duty) {
  require_valid(duty);
  return 1000.0 * std::sqrt(57.7 / (duty.resistivity_ohm_m * duty.time_s));
}

double current_density_is_3043_a_per_m2(const ShortTime& duty) {
  require_valid(duty);
  return 7570.0 / std::sqrt(duty.resistivity_ohm_m * duty.time_s);
}

double current_density_ieee_142_a_per_m2(const ShortTime& duty) {
  require_valid(duty);
  return 34800.0 / pi / std::sqrt(duty.resistivity_ohm_m * duty.time_s);
}

}  // namespace ohmroot::electrode
