// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/rod_reading.hpp>

#include <string>
#include <vector>

namespace ohmroot::acceptance {

/// What no rod in any soil would show: a slip of pen or unit, to be looked at before the forecast is believed.
struct DriveDoubt {
  int sheet_line = 0;  ///< of the reading in doubt
  std::string sentence;
};

/// Readings of one rod, by depth. In doubt is a reading that is above one of a lesser depth by more than three standard
/// deviations of their errors together: metal that is added to an electrode never raises its resistance
/// (J. C. Maxwell, A Treatise on Electricity and Magnetism, art. 306, from memory). In doubt is, too, a depth of more
/// than one and a half times what can be driven here (judgement; a rod may well go somewhat deeper than was thought).
/// Where a moved decimal mark, or the unit, would explain it, the sentence says so.
/// Throws DomainError for a depth, resistance, error or greatest_depth_m that is not positive and finite.
[[nodiscard]] std::vector<DriveDoubt> drive_doubts(const std::vector<sounding::DrivenRodReading>& readings,
                                                   double greatest_depth_m);

}  // namespace ohmroot::acceptance
