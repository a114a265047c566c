// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/study/site.hpp>

#include <string>
#include <vector>

namespace ohmroot::study {

/// What is wrong with a polygon, in words; empty if it bounds a piece of land (at least three corners, no
/// crossing sides, an area above zero).
[[nodiscard]] std::string polygon_problem(const std::vector<LandCorner>& corners);

[[nodiscard]] double perimeter_m(const std::vector<LandCorner>& corners);

/// Smallest rectangle that encloses the land, at any angle, with the reachable depth. One of its sides lies
/// along a side of the convex hull (Freeman and Shapira 1975, from memory), so trying those is enough.
[[nodiscard]] electrode::ReachableVolume enclosing_volume(const Land& land);

}  // namespace ohmroot::study
