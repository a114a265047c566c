// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/reading_curve.hpp>

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace ohmroot::sounding::detail {

/// What slip of the pen or of the leads would explain that a reading is not what it is expected to be: a
/// number in ohm m among ohms, a decimal mark slipped, leads in the order B-A-M-N. "; it would fit if ..." or
/// nothing.
[[nodiscard]] std::string slip_words(const Point& point, double ln_expected);

/// Neighbours on a curve that show the very same number, to three digits or more, where the curve beside them
/// is not steep enough for that: positions in the points, the second the farther one.
[[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> copied_pairs(const std::vector<Point>& points);

}  // namespace ohmroot::sounding::detail
