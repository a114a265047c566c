// SPDX-License-Identifier: MIT
#pragma once

#include <string>

namespace ohmroot::sounding {

/// Order and spacing of the four stakes. A and B carry the current, M and N the voltage.
enum class Array {
  wenner,        ///< A-M-N-B, each gap the same
  schlumberger,  ///< A-M-N-B about one centre, MN shorter than AB/3 as a rule; real, finite MN
};

/// What part of a stake touches the soil.
enum class StakeContact {
  bare,       ///< bare metal over the whole driven length: acts as a point at length / sqrt(3)
  insulated,  ///< insulated down to the tip: acts as a point at the driven depth
};

/// How the driven depth of the stakes enters the reduction.
enum class StakeDepthRule {
  effective_point,  ///< the contact's effective depth: what the physics says
  handbook,         ///< the driven length put straight into the handbook's formula; over-corrects bare stakes
};

/// One four-pole reading as taken in the field.
struct FourPoleReading {
  Array array = Array::wenner;
  double half_current_spacing_m = 0.0;    ///< AB/2; Wenner of spacing a: 1.5 a
  double half_potential_spacing_m = 0.0;  ///< MN/2; Wenner of spacing a: a/2
  double resistance_ohm = 0.0;            ///< V/I as shown by the tester
  double driven_depth_m = 0.0;            ///< of all four stakes; 0 if not stated
  StakeContact contact = StakeContact::bare;
  double relative_error_ratio = 0.05;  ///< one standard deviation of the reading, of its value
  std::string traverse;                ///< name of the line; empty if there is one only
  int sheet_line = 0;                  ///< where it stands in the field sheet; 0 if it came otherwise
};

/// Wenner reading of spacing a.
[[nodiscard]] FourPoleReading wenner_reading(double spacing_m, double resistance_ohm);

/// The spacing a person plots against: a for Wenner, AB/2 for Schlumberger. [m]
[[nodiscard]] double plotted_spacing_m(const FourPoleReading& reading);

}  // namespace ohmroot::sounding
