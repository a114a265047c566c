// SPDX-License-Identifier: MIT
#define BOOST_ALLOW_DEPRECATED_HEADERS  // Boost.Math 1.74 includes one, and says so on every build
#include <ohmroot/routes/detail/plan.hpp>

#include <boost/geometry/algorithms/distance.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/segment.hpp>
#include <boost/geometry/strategies/strategies.hpp>
#include <boost/math/tools/minima.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::routes::detail {

namespace {

using electrode::Conductor;
using electrode::SurfacePlace;
using PlanPoint = boost::geometry::model::d2::point_xy<double>;
using Segment = boost::geometry::model::segment<PlanPoint>;

Segment plan_of(const Conductor& bar) {
  return {{bar.from.x_m, bar.from.y_m}, {bar.to.x_m, bar.to.y_m}};
}

/// The distance of a convex outline is a convex function along a straight piece: one minimum.
SurfacePlace nearest_on(const PlanPiece& piece, const Standing& ground) {
  const auto at = [&](double part) {
    return SurfacePlace{std::lerp(piece.from.x_m, piece.to.x_m, part),
                        std::lerp(piece.from.y_m, piece.to.y_m, part)};
  };
  constexpr int bits = std::numeric_limits<double>::digits / 2;
  const double part = boost::math::tools::brent_find_minima(
                          [&](double t) { return ground.distance_m(at(t)); }, 0.0, 1.0, bits)
                          .first;
  SurfacePlace best = at(part);
  for (const SurfacePlace& end : {piece.from, piece.to})
    if (ground.distance_m(end) < ground.distance_m(best)) best = end;
  return best;
}

}  // namespace

double plan_distance_m(const std::vector<Conductor>& some, const std::vector<Conductor>& others) {
  double least_m = std::numeric_limits<double>::infinity();
  for (const Conductor& one : some)
    for (const Conductor& other : others)
      least_m = std::min(least_m, boost::geometry::distance(plan_of(one), plan_of(other)));
  return least_m;
}

SurfacePlace nearest_on(const Conductor& bar, const Standing& ground) {
  return nearest_on(PlanPiece{{bar.from.x_m, bar.from.y_m}, {bar.to.x_m, bar.to.y_m}}, ground);
}

double distance_m(const PlanPiece& piece, const Standing& ground) {
  return ground.distance_m(nearest_on(piece, ground));
}

}  // namespace ohmroot::routes::detail
