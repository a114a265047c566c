// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <plots/detail/script.hpp>
#include <string_view>

namespace ohmroot::plots::detail {

/// Fills $lines with the lines of equal share of a grid, at the levels given in per cent ("5, 10, 20"); to be plotted with
/// contour_elements().
void contour_lines(Script& script, const study::ShareGrid& grid, std::string_view levels);

/// The lines and their numbers, as elements of a plot.
[[nodiscard]] std::string contour_elements(std::string_view colour, double line_width = 1.4);

}  // namespace ohmroot::plots::detail
