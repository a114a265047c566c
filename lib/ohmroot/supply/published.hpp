// SPDX-License-Identifier: MIT
#pragma once

#include <array>
#include <optional>

namespace ohmroot::supply {

/// Neutral current of three phase currents of one power factor: the exact phasor sum.
/// Each current finite, in A; else DomainError. Source: circuit theory.
[[nodiscard]] double neutral_current_a(const std::array<double, 3>& phase_current_a);

/// The same as it is printed, with 0.866 for half the square root of 3 (relative error up to 3e-5).
/// Source: BS 7671 Annex A722, expression A722.1, as typed on a public forum (17th Edition wording); not
/// checked against the licensed text.
[[nodiscard]] double neutral_current_as_printed_a(const std::array<double, 3>& phase_current_a);

/// A single-phase charge point on top of a load that is equal on all three phases.
struct ChargeOnBalancedBase {
  double charge_current_a = 32.0;              ///< at nominal voltage, >= 0
  double nominal_v = 230.0;                    ///< > 0
  double source_v = 253.0;                     ///< > 0
  double limit_v = 70.0;                       ///< > 0
  std::optional<double> earth_resistance_ohm;  ///< from the MET to earth, > 0; none: no electrode
};

/// Least equal load on each phase, in A at nominal voltage, that keeps the MET within the limit:
/// b = (I (E / limit - 1) - U0 / R) / 3, not below 0. Constant impedance, unity power factor, source earth 0.
/// Source: derived, circuit theory.   DomainError for a value outside the ranges above.
[[nodiscard]] double balanced_base_a(const ChargeOnBalancedBase& charge);

/// Window of line-to-neutral voltage that a disconnecting device may watch, ends included.
/// Source: BS 7671:2018 regulation 722.411.4.1 (iv)/(d), quoted second-hand.
struct VoltageWindow {
  double least_v = 207.0;
  double greatest_v = 253.0;
};

/// Per phase, whether the voltage lies outside the window.
[[nodiscard]] std::array<bool, 3> is_outside_window(const std::array<double, 3>& line_to_neutral_v,
                                                    const VoltageWindow& window = {});

}  // namespace ohmroot::supply
