// SPDX-License-Identifier: MIT
#pragma once

#include <array>
#include <complex>
#include <optional>
#include <string>
#include <vector>

#include <ohmroot/supply/load.hpp>

namespace ohmroot::supply {

/// A load drawing one definite current at nominal voltage under one definite model.
struct DefiniteLoad {
  int phase = 1;
  double current_a = 0.0;          ///< at nominal voltage; negative: export
  double power_factor_ratio = 1.0;
  bool is_leading = false;
  LoadModel model = LoadModel::constant_impedance;
  double current_ceiling_a = std::numeric_limits<double>::infinity();
};

/// The circuit at the moment the PEN is open in the customer's own service.
struct OpenPenCircuit {
  double source_v = 253.0;         ///< line to neutral at the source
  double nominal_v = 230.0;        ///< voltage at which load currents are stated
  bool is_sequence_reversed = false;
  double source_earth_ohm = 0.0;
  std::vector<double> earth_path_ohm;  ///< every path from the MET to earth, in parallel; empty: none
  std::vector<DefiniteLoad> loads;
};

enum class OpenPenStatus {
  solved,
  no_operating_point,  ///< the load cannot draw what it wants; the voltage is then set by what drops out
  not_covered          ///< a case this solver does not decide, with why
};

struct OpenPenState {
  OpenPenStatus status = OpenPenStatus::solved;
  std::string why;
  std::complex<double> met_v;               ///< MET to true earth
  std::complex<double> star_point_v;        ///< source star point to true earth
  std::array<double, 3> line_to_neutral_v{};///< magnitude on each phase of the source
  double electrode_current_a = 0.0;         ///< sum over all earth paths
  double electrode_power_w = 0.0;           ///< sum over all earth paths
  std::vector<double> path_current_a;       ///< per earth path
  std::vector<double> path_power_w;         ///< per earth path
  double kirchhoff_residual_ratio = 0.0;    ///< of the total current
};

/// State of the circuit. Constant impedance on any phases: closed form (Millman). Constant current and
/// constant power, also mixed, on one phase: the operating point reached from the healthy state.
/// Loads of those models on more than one phase: not_covered.
/// Source: circuit theory; convention: true earth is 0, phase k of the source at 0, -120, +120 degrees.
[[nodiscard]] OpenPenState open_pen_state(const OpenPenCircuit& circuit);

enum class RequirementOutcome {
  limited,       ///< resistance_ohm is the largest total that keeps the limit
  none_needed,   ///< the limit holds without an electrode, for this load; not by itself a permitted route
  none_suffices, ///< no resistance above zero keeps the limit
  not_covered
};

/// The largest resistance from the MET to earth that keeps the MET within the limit, for one load model.
struct Requirement {
  std::string name;                ///< "constant power", "rules' expression"
  std::optional<LoadModel> model;  ///< none for the rules' expression
  RequirementOutcome outcome = RequirementOutcome::limited;
  double resistance_ohm = 0.0;     ///< of all earth paths together, conductor included
  double at_source_v = 0.0;        ///< voltage at which it binds
  std::vector<double> at_current_a;///< load currents (at nominal voltage) at which it binds, one per load
  std::string expression;          ///< as a hand would work it
  std::string source;              ///< publication and clause, or "derived"
  std::string why;
};

struct RequirementQuestion {
  Supply supply;
  std::vector<Load> loads;
  double limit_v = 70.0;
};

/// One requirement per load model that applies (all three, unless every load states one), each the least
/// over the voltage range and the worst corner of the load intervals, and the rules' expression (constant
/// impedance at 1.1 times nominal, greatest currents).
/// Three phases: constant impedance is searched over corners (largest phase alone where all minima are 0
/// and every power factor is 1); constant current and power are not_covered unless all load is on one phase
/// or the minima are 0 at unity power factor, where the largest phase alone governs.
/// Throws DomainError if no load has a current above 0, or if lowest_v > highest_v.
[[nodiscard]] std::vector<Requirement> requirements(const RequirementQuestion& question);

/// Strictest and most lenient of a set: 'feasible' needs the first, 'not feasible' the second.
struct RequirementSpan {
  const Requirement* strictest = nullptr;     ///< none_suffices counts as 0 ohm
  const Requirement* most_lenient = nullptr;  ///< none_needed counts as infinite
  bool has_uncovered = false;                 ///< some model could not be decided
};
[[nodiscard]] RequirementSpan span_of(const std::vector<Requirement>& requirements);

}  // namespace ohmroot::supply
