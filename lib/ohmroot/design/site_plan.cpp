// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/site_plan.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::design {
namespace {

constexpr double most_places = 20000;
constexpr double rounding_m = 1e-9;  // a place exactly at its clearance is free

struct Box {
  double least_x_m, greatest_x_m, least_y_m, greatest_y_m;
};

Box box_of(const Polygon& corners) {
  Box box{corners[0].x_m, corners[0].x_m, corners[0].y_m, corners[0].y_m};
  for (const PlanPoint& corner : corners) {
    box.least_x_m = std::min(box.least_x_m, corner.x_m);
    box.greatest_x_m = std::max(box.greatest_x_m, corner.x_m);
    box.least_y_m = std::min(box.least_y_m, corner.y_m);
    box.greatest_y_m = std::max(box.greatest_y_m, corner.y_m);
  }
  return box;
}

void require_polygon(const std::string& name, const Polygon& corners) {
  for (const PlanPoint& corner : corners) {
    require_finite(name, corner.x_m, "m");
    require_finite(name, corner.y_m, "m");
  }
  if (const std::string problem = polygon_problem(corners); !problem.empty())
    throw DomainError(name, problem, "a polygon with an area, its sides not crossing");
}

/// Where the sides before and after a corner meet when both are moved to the left by that distance.
PlanPoint moved_corner(const PlanPoint& before, const PlanPoint& corner, const PlanPoint& after,
                       double left_m) {
  const double in_m = std::hypot(corner.x_m - before.x_m, corner.y_m - before.y_m);
  const double out_m = std::hypot(after.x_m - corner.x_m, after.y_m - corner.y_m);
  const double ax = (corner.x_m - before.x_m) / in_m, ay = (corner.y_m - before.y_m) / in_m;
  const double bx = (after.x_m - corner.x_m) / out_m, by = (after.y_m - corner.y_m) / out_m;
  const double turn = 1 + ax * bx + ay * by;  // zero where the boundary turns back on itself
  return {corner.x_m - left_m * (ay + by) / turn, corner.y_m + left_m * (ax + bx) / turn};
}

}  // namespace

void require_valid(const SitePlan& plan) {
  require_polygon("land", plan.land);
  for (const KeepOut& keep_out : plan.keep_outs) {
    require_polygon("keep_out '" + keep_out.name + "'", keep_out.corners);
    require_not_negative("keep_out clearance_m", keep_out.clearance_m, "m");
  }
  require_positive("depth_m", plan.depth_m, "m");
  require_positive("grid_step_m", plan.grid_step_m, "m");
  require_not_negative("boundary_clearance_m", plan.boundary_clearance_m, "m");
  const Box box = box_of(plan.land);
  const double place_count = ((box.greatest_x_m - box.least_x_m) / plan.grid_step_m + 1) *
                             ((box.greatest_y_m - box.least_y_m) / plan.grid_step_m + 1);
  if (place_count > most_places)
    throw DomainError("grid_step_m", plan.grid_step_m, "m",
                      "so wide that at most 20 000 places of the grid lie on the land");
}

bool is_free(const SitePlan& plan, const PlanLine& way) {
  if (!is_inside(plan.land, way.from) || !is_inside(plan.land, way.to)) return false;
  if (distance_to_sides_m(plan.land, way) < plan.boundary_clearance_m - rounding_m) return false;
  return std::none_of(plan.keep_outs.begin(), plan.keep_outs.end(), [&](const KeepOut& keep_out) {
    if (is_inside(keep_out.corners, way.from) || is_inside(keep_out.corners, way.to)) return true;
    const double distance_m = distance_to_sides_m(keep_out.corners, way);
    return distance_m == 0.0 || distance_m < keep_out.clearance_m - rounding_m;
  });
}

std::vector<PlanPoint> free_places(const SitePlan& plan) {
  require_valid(plan);
  const Box box = box_of(plan.land);
  const double step_m = plan.grid_step_m;
  std::vector<PlanPoint> places;
  for (double row = std::ceil(box.least_y_m / step_m); row * step_m <= box.greatest_y_m; ++row) {
    for (double column = std::ceil(box.least_x_m / step_m); column * step_m <= box.greatest_x_m; ++column) {
      const PlanPoint place{column * step_m, row * step_m};
      if (is_free(plan, {place, place})) places.push_back(place);
    }
  }
  if (places.empty())
    throw DomainError("number of grid places free for an electrode", "none",
                      "at least one: smaller clearances, a finer grid or fewer keep-outs");
  return places;
}

std::optional<Polygon> boundary_line(const SitePlan& plan) {
  require_valid(plan);
  const double left_m =
      signed_area_m2(plan.land) > 0 ? plan.boundary_clearance_m : -plan.boundary_clearance_m;
  const std::size_t n = plan.land.size();
  Polygon line;
  for (std::size_t i = 0; i < n; ++i) {
    line.push_back(moved_corner(plan.land[(i + n - 1) % n], plan.land[i], plan.land[(i + 1) % n], left_m));
    if (!std::isfinite(line.back().x_m) || !std::isfinite(line.back().y_m)) return std::nullopt;
  }
  if (!polygon_problem(line).empty() || signed_area_m2(line) * left_m <= 0) return std::nullopt;
  return line;
}

std::optional<Polygon> boundary_loop(const SitePlan& plan) {
  std::optional<Polygon> loop = boundary_line(plan);
  if (!loop) return std::nullopt;
  for (std::size_t i = 0; i < loop->size(); ++i)
    if (!is_free(plan, {(*loop)[i], (*loop)[(i + 1) % loop->size()]})) return std::nullopt;
  return loop;
}

electrode::ReachableVolume reachable_volume(const SitePlan& plan) {
  require_valid(plan);
  const Rectangle rectangle = enclosing_rectangle(plan.land);
  return {rectangle.length_m, rectangle.width_m, plan.depth_m};
}

}  // namespace ohmroot::design
