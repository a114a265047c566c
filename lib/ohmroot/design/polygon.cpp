// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/polygon.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::design {
namespace {

double cross(const PlanPoint& origin, const PlanPoint& a, const PlanPoint& b) {
  return (a.x_m - origin.x_m) * (b.y_m - origin.y_m) - (a.y_m - origin.y_m) * (b.x_m - origin.x_m);
}

bool segments_cross(const PlanPoint& a, const PlanPoint& b, const PlanPoint& c, const PlanPoint& d) {
  const auto sign = [](double value) { return (value > 0) - (value < 0); };
  return sign(cross(a, b, c)) * sign(cross(a, b, d)) < 0 && sign(cross(c, d, a)) * sign(cross(c, d, b)) < 0;
}

double distance_m(const PlanPoint& place, const PlanLine& line) {
  const double ux = line.to.x_m - line.from.x_m, uy = line.to.y_m - line.from.y_m;
  const double dx = place.x_m - line.from.x_m, dy = place.y_m - line.from.y_m;
  const double squared_m2 = ux * ux + uy * uy;
  const double along = squared_m2 > 0 ? std::clamp((dx * ux + dy * uy) / squared_m2, 0.0, 1.0) : 0.0;
  return std::hypot(dx - along * ux, dy - along * uy);
}

}  // namespace

double signed_area_m2(const Polygon& corners) {
  double twice = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const PlanPoint& a = corners[i];
    const PlanPoint& b = corners[(i + 1) % corners.size()];
    twice += a.x_m * b.y_m - b.x_m * a.y_m;
  }
  return twice / 2;
}

std::string polygon_problem(const Polygon& corners) {
  const std::size_t n = corners.size();
  if (n < 3) return "the land needs at least three corners";
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j == n - 1) continue;  // neighbours share a corner
      if (segments_cross(corners[i], corners[i + 1], corners[j], corners[(j + 1) % n])) {
        return "the sides of the land cross each other";
      }
    }
  }
  if (!(std::abs(signed_area_m2(corners)) > 1e-6)) return "the corners lie on one line: the land has no area";
  return {};
}

double perimeter_m(const Polygon& corners) {
  double sum_m = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const PlanPoint& a = corners[i];
    const PlanPoint& b = corners[(i + 1) % corners.size()];
    sum_m += std::hypot(b.x_m - a.x_m, b.y_m - a.y_m);
  }
  return sum_m;
}

bool is_inside(const Polygon& corners, const PlanPoint& place) {
  bool inside = false;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const PlanPoint& a = corners[i];
    const PlanPoint& b = corners[(i + 1) % corners.size()];
    if ((a.y_m > place.y_m) == (b.y_m > place.y_m)) continue;
    if (place.x_m < a.x_m + (b.x_m - a.x_m) * (place.y_m - a.y_m) / (b.y_m - a.y_m)) inside = !inside;
  }
  return inside;
}

double distance_to_sides_m(const Polygon& corners, const PlanLine& way) {
  double least_m = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const PlanLine side{corners[i], corners[(i + 1) % corners.size()]};
    if (segments_cross(way.from, way.to, side.from, side.to)) return 0.0;
    for (const PlanPoint& end : {way.from, way.to})
      least_m = std::min(least_m, distance_m(end, side));
    for (const PlanPoint& corner : {side.from, side.to})
      least_m = std::min(least_m, distance_m(corner, way));
  }
  return least_m;
}

Rectangle enclosing_rectangle(const Polygon& corners) {
  if (const std::string problem = polygon_problem(corners); !problem.empty()) {
    throw DomainError("corners", problem, "a polygon with an area");
  }
  Rectangle best{0, 0};
  double best_area_m2 = std::numeric_limits<double>::infinity();
  // Trying the direction between every two corners includes every side of the convex hull.
  for (const PlanPoint& from : corners) {
    for (const PlanPoint& to : corners) {
      const double length_m = std::hypot(to.x_m - from.x_m, to.y_m - from.y_m);
      if (!(length_m > 0)) continue;
      const double ux = (to.x_m - from.x_m) / length_m;
      const double uy = (to.y_m - from.y_m) / length_m;
      double along_least = 0, along_most = 0, across_least = 0, across_most = 0;
      for (const PlanPoint& corner : corners) {
        const double dx = corner.x_m - from.x_m;
        const double dy = corner.y_m - from.y_m;
        along_least = std::min(along_least, dx * ux + dy * uy);
        along_most = std::max(along_most, dx * ux + dy * uy);
        across_least = std::min(across_least, dy * ux - dx * uy);
        across_most = std::max(across_most, dy * ux - dx * uy);
      }
      const double along_m = along_most - along_least;
      const double across_m = across_most - across_least;
      if (along_m * across_m < best_area_m2) {
        best_area_m2 = along_m * across_m;
        best.length_m = std::max(along_m, across_m);
        best.width_m = std::min(along_m, across_m);
      }
    }
  }
  return best;
}

}  // namespace ohmroot::design
