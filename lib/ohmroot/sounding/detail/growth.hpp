// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/reading_curve.hpp>

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace ohmroot::sounding::detail {

/// Readings of arrays about one centre whose resistance grows with spacing in a way that no layers show:
/// positions of those to blame, each with its sentence.
[[nodiscard]] std::map<std::size_t, std::string> growing_readings(const std::vector<Point>& points);

}  // namespace ohmroot::sounding::detail
