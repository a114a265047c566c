// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>

#include <string>

namespace ohmroot::routes {

/// A line conductor that touches metal on the earth of a TT installation.
struct TtFaultCase {
  double nominal_v = 230.0;  ///< line to neutral
  Estimate resistance_ohm;   ///< R_A over all soils and seasons: electrode and its conductor
  double source_earth_ohm;   ///< R_B: of the source's neutral; 0: not known
};

struct TtFault {
  Estimate current_a;  ///< U0 / (R_A + R_B); the lines are short against the earths
  Estimate
      touch_v;  ///< of the faulty metal to true earth, until the RCD has opened; most at the greatest R_A
  Estimate
      neutral_rise_v;  ///< of the source's neutral and every PME earth on it until something opens; most at the least R_A
  /// Greatest loop resistance at which an overcurrent device of 6 A type B, opening at 5 times, would act at
  /// 0.95 U0 (BS 7671 regulation 411.5.4, from memory): far below what rods reach.
  double overcurrent_loop_ohm;
  bool can_overcurrent_device_act = false;  ///< at the greatest R_A
  std::string sentence;
};

/// Throws DomainError unless voltage and both ends of R_A are positive, its value lies between them and R_B is not
/// negative, all finite. Source: circuit, derived.
[[nodiscard]] TtFault tt_fault(const TtFaultCase& fault);

/// Earth of the source against an earth that a line conductor may touch by accident: least resistance of that
/// earth at which the neutral stays within 50 V, R_B (U0 - 50) / 50. [ohm] Throws DomainError unless the
/// voltage is above 50 V. Source: ascribed to a note of IEC 60364-4-41, common practice; the circuit is derived.
struct SourceEarth {
  double resistance_ohm;  ///< R_B
  double nominal_v = 230.0;
};
[[nodiscard]] double least_line_earth_ohm(const SourceEarth& source);

/// What disconnection times ask about.
enum class EarthingArrangement { tn, tt };
enum class CircuitKind { final_circuit, distribution };

/// Longest disconnection time at 230 V. [s] Final circuits up to 63 A with sockets, 32 A without. Source: BS 7671 Table
/// 41.1 and 411.3.2.2 to 4, second-hand.
[[nodiscard]] double disconnection_time_s(EarthingArrangement earthing, CircuitKind circuit);

}  // namespace ohmroot::routes
