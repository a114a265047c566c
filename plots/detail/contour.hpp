// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <plots/detail/script.hpp>
#include <string>
#include <string_view>

namespace ohmroot::plots::detail {

/// Levels for contour_lines() at round steps, so that a few of them lie within the grid's values: where the soil takes most
/// of the voltage far away, all of them may lie above 80 per cent.
[[nodiscard]] std::string round_levels(const study::ShareGrid& grid);

/// Fills $lines with the lines of equal share of a grid, at the levels given in per cent ("5, 10, 20"); to be plotted with
/// contour_elements().
void contour_lines(Script& script, const study::ShareGrid& grid, std::string_view levels);

/// The lines and their numbers, as elements of a plot.
[[nodiscard]] std::string contour_elements(std::string_view colour, double line_width = 1.4);

}  // namespace ohmroot::plots::detail
