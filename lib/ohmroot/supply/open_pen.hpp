// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/load.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <array>
#include <complex>
#include <limits>
#include <string>
#include <vector>

namespace ohmroot::supply {

/// A load drawing one definite current at nominal voltage under one definite model.
struct DefiniteLoad {
  int phase = 1;                    ///< 1 to 3
  double current_a = 0.0;           ///< at nominal voltage, up to 1e6 A; negative: export
  double power_factor_ratio = 1.0;  ///< in (0, 1]
  bool is_leading = false;
  LoadModel model = LoadModel::constant_impedance;
  double current_ceiling_a = std::numeric_limits<double>::infinity();  ///< bounds the constant-power model
};

/// The circuit at the moment the PEN is open in the customer's own service.
struct OpenPenCircuit {
  double source_v = 253.0;   ///< line to neutral at the source, up to 1e6 V
  double nominal_v = 230.0;  ///< voltage at which load currents are stated, up to 1e6 V
  bool is_sequence_reversed = false;
  double source_earth_ohm = 0.0;       ///< earth of the star point, 0 to 1e12 ohm
  std::vector<double> earth_path_ohm;  ///< every path from the MET to earth, in parallel, each 1e-6 to
                                       ///< 1e12 ohm; empty: none
  std::vector<DefiniteLoad> loads;
};

enum class OpenPenStatus {
  solved,
  no_operating_point,  ///< the load cannot draw what it wants; the voltage is then set by what drops out
  not_covered          ///< a case this solver does not decide, with why
};

/// Unless status is solved, nothing but status and why means anything.
struct OpenPenState {
  OpenPenStatus status = OpenPenStatus::solved;
  std::string why;
  std::complex<double> met_v;                 ///< MET to true earth
  std::complex<double> star_point_v;          ///< source star point to true earth
  std::array<double, 3> line_to_neutral_v{};  ///< magnitude on each phase of the source
  double electrode_current_a = 0.0;           ///< sum over all earth paths
  double electrode_power_w = 0.0;             ///< sum over all earth paths
  std::vector<double> path_current_a;         ///< per earth path
  std::vector<double> path_power_w;           ///< per earth path
  double kirchhoff_residual_ratio = 0.0;      ///< of the sum of the load currents' magnitudes
};

/// State of the circuit. Constant impedance on any phases: closed form (Millman). Constant current and
/// constant power, also mixed, on any phases, drawing or exporting: the operating point reached from the
/// healthy state as the resistance that holds the neutral is raised from zero; where that branch ends there
/// is no operating point to report.
/// Source: circuit theory; convention: true earth is 0, phase k of the source at 0, -120, +120 degrees.
/// Throws DomainError for a value outside the range documented at its field.
[[nodiscard]] OpenPenState open_pen_state(const OpenPenCircuit& circuit);

}  // namespace ohmroot::supply
