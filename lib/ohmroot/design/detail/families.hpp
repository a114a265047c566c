// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>

#include <cstddef>
#include <optional>
#include <vector>

namespace ohmroot::design::detail {

/// Every group of as many places as each kind of piece (rods by their sections, plates) may have, joined by insulated
/// conductor.
/// Nothing if they are more than most_arrangements.
[[nodiscard]] std::optional<std::vector<Arrangement>> every_group(const SitePlan& plan, const Parts& parts,
                                                                  const std::vector<PlanPoint>& places,
                                                                  std::size_t most_arrangements);

/// Regular groups, for each kind of piece: single ones, lines of equal steps along rows, columns and diagonals
/// of the grid, upright grids of equal steps, rods at equal steps round the boundary loop.
[[nodiscard]] std::vector<Arrangement> regular_groups(const SitePlan& plan, const Parts& parts,
                                                      const std::vector<PlanPoint>& places);

/// Straight tapes between places (at most a hundred of them, spread over all), and the boundary loop alone and with rods
/// at equal steps round it.
[[nodiscard]] std::vector<Arrangement> tapes(const SitePlan& plan, const Parts& parts,
                                             const std::vector<PlanPoint>& places);

}  // namespace ohmroot::design::detail
