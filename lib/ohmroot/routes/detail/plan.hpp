// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/routes/detail/standing.hpp>

#include <vector>

namespace ohmroot::routes::detail {

/// Least distance in plan between the axes of two sets of bars; never more than the distance in the soil.
[[nodiscard]] double plan_distance_m(const std::vector<electrode::Conductor>& some,
                                     const std::vector<electrode::Conductor>& others);

/// The place over a bar that is nearest to the outline of the standing ground.
[[nodiscard]] electrode::SurfacePlace nearest_on(const electrode::Conductor& bar, const Standing& ground);

/// Least distance in plan between a straight piece and an outline; 0 if they meet. [m]
struct PlanPiece {
  electrode::SurfacePlace from;
  electrode::SurfacePlace to;
};
[[nodiscard]] double distance_m(const PlanPiece& piece, const Standing& ground);

}  // namespace ohmroot::routes::detail
