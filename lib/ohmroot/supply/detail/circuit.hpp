// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/open_pen.hpp>

#include <array>
#include <complex>
#include <optional>
#include <vector>

namespace ohmroot::supply::detail {

using Phasor = std::complex<double>;

/// Source voltages of 1 V: 0, -120, +120 degrees, or 0, +120, -120 if the sequence is reversed.
[[nodiscard]] std::array<Phasor, 3> phase_directions(bool is_sequence_reversed);

/// Current over voltage of a load, as a phasor of length 1: lagging currents point below the real axis.
[[nodiscard]] Phasor current_direction(const DefiniteLoad& load);

/// Magnitude of the current at a voltage across the load; negative: export.
[[nodiscard]] double current_at_a(const DefiniteLoad& load, double voltage_v, double nominal_v);

/// Its change with the voltage; 0 where a ceiling holds it.
[[nodiscard]] double current_slope_s(const DefiniteLoad& load, double voltage_v, double nominal_v);

/// Loads that draw anything at all.
[[nodiscard]] std::vector<DefiniteLoad> drawing_loads(const OpenPenCircuit& circuit);

/// Constant impedances in star: Y per phase, D = sum of Y, N = sum of Y times E.
struct Star {
  std::array<Phasor, 3> admittance_s{};
  Phasor total_s;
  Phasor drive_a;
  double size_s = 0.0;  ///< sum of the magnitudes, the scale that cancellation is judged by
};
[[nodiscard]] Star star_of(const OpenPenCircuit& circuit);

/// Where the neutral floats to, and what that leaves across the loads. The voltages are found apart from each
/// other: a small one must not be the difference of two large ones.
struct Neutral {
  Phasor displacement_v;             // star point to neutral
  std::array<Phasor, 3> across_v{};  // each phase to neutral
};

/// What holds the neutral besides the loads: a current of conductance_s V + drawn_a leaves it.
struct Holding {
  double conductance_s = 0.0;
  Phasor drawn_a;
};

/// Constant impedances: the neutral in closed form. Nothing where generation balances or outweighs all that
/// holds the neutral, or where nothing holds it.
[[nodiscard]] std::optional<Neutral> linear_neutral(const OpenPenCircuit& circuit, const Holding& holding);

/// What flows into the neutral and does not leave it, over the sum of the loads' current magnitudes.
[[nodiscard]] double residual_ratio(const OpenPenCircuit& circuit, const Neutral& neutral, Phasor leaving_a);

/// Conductance from the MET to earth from which on the MET stays within the limit. Zero or less: none is
/// needed. Clamped to +-unbounded_s.
inline constexpr double unbounded_s = 1e15;
struct Protection {
  double limit_v;
  double source_earth_ohm;
};
[[nodiscard]] double needed_conductance_s(const Star& star, const Protection& protection);

/// Throws DomainError for a value outside the ranges documented in open_pen.hpp.
void require_valid(const OpenPenCircuit& circuit);
void require_valid(const DefiniteLoad& load);

}  // namespace ohmroot::supply::detail
