// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/polygon.hpp>
#include <ohmroot/electrode/floor.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::design {

/// Ground in which no new metal may go: a building, drains, cables, metalwork joined to the supply's earth.
struct KeepOut {
  std::string name;
  Polygon corners;
  double clearance_m = 0.0;  ///< kept from its sides as well; not negative
};

/// The land, what bars it, and the grid on which rods may stand. The grid is fixed to the origin of the
/// site's coordinates: more land adds places and moves none.
struct SitePlan {
  Polygon land;
  std::vector<KeepOut> keep_outs;
  double depth_m = 0.0;               ///< that can be reached; greater than 0
  double grid_step_m = 1.0;           ///< greater than 0
  double boundary_clearance_m = 0.3;  ///< kept from the boundary; not negative
  std::optional<PlanPoint> met;       ///< where the earthing conductor starts; may stand in a keep-out
};

/// Throws DomainError, naming the argument, for a polygon with a problem (land or keep-out), a depth or step
/// that is not greater than zero, a clearance below zero, and more than 20 000 places of the grid in the
/// enclosing upright rectangle.
void require_valid(const SitePlan& plan);

/// Whether metal may lie along the straight way between two places (or at one).
[[nodiscard]] bool is_free(const SitePlan& plan, const PlanLine& way);

/// Places of the grid where a rod may stand, by rows of rising y, each by rising x. Throws DomainError for a
/// plan that is not valid, and if there is none: keep-outs over everything.
[[nodiscard]] std::vector<PlanPoint> free_places(const SitePlan& plan);

/// The boundary moved inwards by its clearance, as corners in their order; nothing where the moved sides cross.
[[nodiscard]] std::optional<Polygon> boundary_line(const SitePlan& plan);
/// The same as a loop that can be laid: nothing where a keep-out stands in the way.
[[nodiscard]] std::optional<Polygon> boundary_loop(const SitePlan& plan);

/// Smallest rectangle round the land (keep-outs included, so that a floor over it stays one) and the depth.
[[nodiscard]] electrode::ReachableVolume reachable_volume(const SitePlan& plan);

}  // namespace ohmroot::design
