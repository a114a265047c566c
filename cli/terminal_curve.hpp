// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <vector>

namespace ohmroot::cli {

/// One place of a curve, drawn as its mark.
struct CurvePlace {
  double spacing_m;
  double resistivity_ohm_m;
  char mark;
};

/// Apparent resistivity against spacing, both logarithmic, in plain characters, 16 lines of at most 72 columns. A
/// later place hides an earlier one. Empty for fewer than two places.
[[nodiscard]] std::string terminal_curve(const std::vector<CurvePlace>& places);

}  // namespace ohmroot::cli
