// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/land.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

double cross(const LandCorner& origin, const LandCorner& a, const LandCorner& b) {
  return (a.x_m - origin.x_m) * (b.y_m - origin.y_m) - (a.y_m - origin.y_m) * (b.x_m - origin.x_m);
}

bool segments_cross(const LandCorner& a, const LandCorner& b, const LandCorner& c, const LandCorner& d) {
  const auto sign = [](double value) { return (value > 0) - (value < 0); };
  return sign(cross(a, b, c)) * sign(cross(a, b, d)) < 0 && sign(cross(c, d, a)) * sign(cross(c, d, b)) < 0;
}

double signed_area_m2(const std::vector<LandCorner>& corners) {
  double twice = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const LandCorner& a = corners[i];
    const LandCorner& b = corners[(i + 1) % corners.size()];
    twice += a.x_m * b.y_m - b.x_m * a.y_m;
  }
  return twice / 2;
}

}  // namespace

std::string polygon_problem(const std::vector<LandCorner>& corners) {
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

double perimeter_m(const std::vector<LandCorner>& corners) {
  double sum_m = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const LandCorner& a = corners[i];
    const LandCorner& b = corners[(i + 1) % corners.size()];
    sum_m += std::hypot(b.x_m - a.x_m, b.y_m - a.y_m);
  }
  return sum_m;
}

electrode::ReachableVolume enclosing_volume(const Land& land) {
  if (const std::string problem = polygon_problem(land.corners); !problem.empty()) {
    throw DomainError("land.corners", problem, "a polygon with an area");
  }
  electrode::ReachableVolume best{0, 0, land.drivable_depth_m};
  double best_area_m2 = std::numeric_limits<double>::infinity();
  // Trying the direction between every two corners includes every side of the convex hull.
  for (const LandCorner& from : land.corners) {
    for (const LandCorner& to : land.corners) {
      const double length_m = std::hypot(to.x_m - from.x_m, to.y_m - from.y_m);
      if (!(length_m > 0)) continue;
      const double ux = (to.x_m - from.x_m) / length_m;
      const double uy = (to.y_m - from.y_m) / length_m;
      double along_least = 0, along_most = 0, across_least = 0, across_most = 0;
      for (const LandCorner& corner : land.corners) {
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

}  // namespace ohmroot::study
