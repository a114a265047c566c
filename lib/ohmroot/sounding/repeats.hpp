// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::sounding {

/// Readings in which those of one place are one, with the single values as its repeats.
struct JoinedReadings {
  std::vector<FourPoleReading> readings;        ///< in the order of the first of each place
  std::vector<std::vector<std::size_t>> parts;  ///< of each: positions among those that were given
};

/// Joins readings of one array, one line (traverse) and one place of the stakes, depth included, to the last bit. Joined,
/// they show the mean of what they showed, and stand where the first stood. A repeat takes the chance of the
/// reading down, not what its stakes and the tester have in common: the error is the least that was stated and, in
/// squares, the scatter over the root of their number (combined_error_ratio()). Readings that have repeats, polarities or
/// coordinates of their own, and bounds, stay as they are.
[[nodiscard]] JoinedReadings joined_repeats(const std::vector<FourPoleReading>& readings);

}  // namespace ohmroot::sounding
