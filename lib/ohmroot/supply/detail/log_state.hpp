// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/load_log.hpp>

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

namespace ohmroot::supply::detail {

/// Currents of the three phases at nominal voltage; the active part is negative for export, the reactive part
/// is positive where the current lags.
struct PhaseLoads {
  std::array<double, 3> active_a{};
  std::array<double, 3> reactive_a{};
};

/// What one instant of a log means for the MET.
struct LogMet {
  double without_v = 0.0;  ///< infinite: no operating point
  double with_v = 0.0;     ///< with the candidate; 0 if there is none
  double needed_s = 0.0;   ///< conductance that keeps the limit; zero or less: none
  bool is_loaded = true;
  bool is_worse_charging = false;
};

/// Judges instants of a log under one question.
class LogState {
public:
  explicit LogState(const LoadLogQuestion& question);

  [[nodiscard]] LogMet at(const PhaseLoads& loads) {
    LogMet met = model_ == LoadModel::constant_impedance ? impedance_met(loads) : other_met(loads);
    if (has_charge_) worsen_by_charge(loads, met);
    return met;
  }

private:
  /// As needed_conductance_s() and linear_neutral() have it, without source earth, on currents in place of
  /// admittances: the hot path of a log.
  [[nodiscard]] LogMet impedance_met(const PhaseLoads& loads) const {
    const auto& p = loads.active_a;
    const auto& q = loads.reactive_a;
    const double a = p[0] - p[2];
    const double b = p[1] - p[2];
    const double c = q[2] - q[0];
    const double d = q[2] - q[1];
    const double real = a - 0.5 * b - side_ * d;
    const double imag = c - 0.5 * d + side_ * b;
    const double drive2 = real * real + imag * imag;
    const double sum_p = p[0] + p[1] + p[2];
    const double sum_q = q[0] + q[1] + q[2];
    const double held_p = sum_p + electrode_a_;
    LogMet met;
    met.is_loaded = drive2 + sum_p * sum_p + sum_q * sum_q > 0.0;
    if (!met.is_loaded) return met;
    met.without_v = voltage_v(drive2, sum_p, sum_q);
    if (electrode_a_ > 0.0) met.with_v = voltage_v(drive2, held_p, sum_q);
    const double reach2 = drive2 * limit_ratio2_ - sum_q * sum_q;
    met.needed_s = reach2 < 0.0 ? -1.0 : (std::sqrt(reach2) - sum_p) * per_nominal_;
    return met;
  }
  [[nodiscard]] double voltage_v(double drive2, double real, double imag) const {
    // Generation that outweighs all that holds the neutral has passed a pole: no operating point.
    if (real <= 0.0 && imag == 0.0) return std::numeric_limits<double>::infinity();
    return source_v_ * std::sqrt(drive2 / (real * real + imag * imag));
  }

  [[nodiscard]] LogMet other_met(const PhaseLoads& loads);
  void worsen_by_charge(const PhaseLoads& loads, LogMet& met);

  LoadLogQuestion question_;
  LoadModel model_;
  bool has_charge_;
  double side_;  // half the square root of 3, with the sign of the sequence
  double source_v_;
  double electrode_a_ = 0.0;
  double limit_ratio2_;
  double per_nominal_;
  // Answers for loads met before: logs repeat themselves, and the curve of a circuit is dear.
  struct Known {
    PhaseLoads loads;
    LogMet met;
    bool is_filled = false;
  };
  std::vector<Known> known_;
};

}  // namespace ohmroot::supply::detail
