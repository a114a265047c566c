// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/study/desk.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// How many rods stand round a piece of land, one spacing apart.
[[nodiscard]] int rods_round(const electrode::ReachableVolume& volume, double spacing_m);

/// Rods of the reachable depth round the boundary, one depth apart: by the published group factor, and by the
/// field solution with each rod where it stands (up to 120 rods).
[[nodiscard]] LargestArrangement largest_arrangement(const electrode::ReachableVolume& volume,
                                                     double rod_diameter_m);

/// Its resistance in every soil that gives one rod's reading: value in the uniform one, ends over all. Nothing
/// where the arrangement has no field solution.
[[nodiscard]] std::optional<Estimate> arrangement_spread(const LargestArrangement& arrangement,
                                                         const SoilFromRod& reading);

}  // namespace ohmroot::study::detail
