// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <vector>

namespace ohmroot::design {

/// A place in plan, from any origin that the whole site shares.
struct PlanPoint {
  double x_m;
  double y_m;
};

/// Corners in order round it, either way; the last is joined to the first.
using Polygon = std::vector<PlanPoint>;

/// What is wrong with a polygon, in words; empty if it bounds a piece of land (at least three corners, no
/// crossing sides, an area above zero).
[[nodiscard]] std::string polygon_problem(const Polygon& corners);

[[nodiscard]] double perimeter_m(const Polygon& corners);

/// Positive if the corners go round from x towards y. [m2]
[[nodiscard]] double signed_area_m2(const Polygon& corners);

/// Inside, by the number of sides that a line to the far right crosses; places on a side may be either.
[[nodiscard]] bool is_inside(const Polygon& corners, const PlanPoint& place);

/// Distance from the straight way between two places to the nearest side. [m]
struct PlanLine {
  PlanPoint from;
  PlanPoint to;
};
[[nodiscard]] double distance_to_sides_m(const Polygon& corners, const PlanLine& way);

/// Sides of the smallest rectangle that encloses the polygon, at any angle. One of its sides lies along a side
/// of the convex hull (Freeman and Shapira 1975, from memory), so trying those is enough.
struct Rectangle {
  double length_m;
  double width_m;
};
/// Throws DomainError for a polygon with a problem.
[[nodiscard]] Rectangle enclosing_rectangle(const Polygon& corners);

}  // namespace ohmroot::design
