// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/pme_metal.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

namespace ohmroot::routes {

namespace {

using electrode::Conductor;
using electrode::Place;
using std::numbers::pi;

constexpr double half_turn_deg = 180.0;

void require_finite_place(const electrode::SurfacePlace& place) {
  require_finite("at.x_m", place.x_m, "m");
  require_finite("at.y_m", place.y_m, "m");
}

/// The place over a bar that is nearest to the target in plan.
electrode::SurfacePlace nearest_over(const Conductor& bar, const electrode::SurfacePlace& target) {
  const double x_m = bar.to.x_m - bar.from.x_m;
  const double y_m = bar.to.y_m - bar.from.y_m;
  const double squared_m2 = x_m * x_m + y_m * y_m;
  if (squared_m2 == 0.0) return {bar.from.x_m, bar.from.y_m};
  const double part = std::clamp(
      ((target.x_m - bar.from.x_m) * x_m + (target.y_m - bar.from.y_m) * y_m) / squared_m2, 0.0, 1.0);
  return {std::lerp(bar.from.x_m, bar.to.x_m, part), std::lerp(bar.from.y_m, bar.to.y_m, part)};
}

/// Complains now rather than when the metal is solved with other metal.
PmeMetal checked(PmeMetal metal) {
  electrode::require_valid({{metal.name, metal.conductors}});
  return metal;
}

}  // namespace

std::string_view metal_kind_name(MetalKind kind) {
  switch (kind) {
  case MetalKind::rod:
    return "rod";
  case MetalKind::tape:
    return "tape";
  case MetalKind::plate:
    return "plate";
  case MetalKind::line:
    return "pipe or sheath";
  }
  throw InternalError("metal_kind_name: a kind without a name");
}

std::vector<Conductor> placed(std::vector<Conductor> conductors, const PlanPose& pose) {
  require_finite_place(pose.at);
  require_finite("direction_deg", pose.direction_deg, "deg");
  const double angle = pose.direction_deg * pi / half_turn_deg;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  for (Conductor& bar : conductors)
    for (Place* end : {&bar.from, &bar.to})
      *end = {pose.at.x_m + c * end->x_m - s * end->y_m, pose.at.y_m + s * end->x_m + c * end->y_m,
              end->depth_m};
  return conductors;
}

PmeMetal rod_metal(std::string name, const electrode::Rod& rod, const electrode::SurfacePlace& at) {
  return checked({std::move(name), MetalKind::rod, placed(electrode::conductors_of(rod), {at})});
}

PmeMetal tape_metal(std::string name, const electrode::Tape& tape, const PlanPose& pose) {
  return checked({std::move(name), MetalKind::tape, placed(electrode::conductors_of(tape), pose)});
}

PmeMetal plate_metal(std::string name, const electrode::RectangularPlate& plate, const PlanPose& pose) {
  require_positive("plate.depth_m", plate.depth_m, "m");
  std::vector<Conductor> bars = electrode::conductors_of(plate);
  for (Conductor& bar : bars)
    for (electrode::Place* end : {&bar.from, &bar.to})
      end->x_m -= 0.5 * plate.length_m;
  return checked({std::move(name), MetalKind::plate, placed(std::move(bars), pose)});
}

PmeMetal line_metal(std::string name, const std::vector<electrode::SurfacePlace>& corners,
                    const LineSize& size) {
  if (corners.size() < 2)
    throw DomainError("corners", fmt::format("{} places", corners.size()), "at least two");
  require_positive("diameter_m", size.diameter_m, "m");
  require_positive("depth_m", size.depth_m, "m");
  std::vector<Conductor> bars;
  for (std::size_t i = 1; i < corners.size(); ++i)
    bars.push_back({{corners[i - 1].x_m, corners[i - 1].y_m, size.depth_m},
                    {corners[i].x_m, corners[i].y_m, size.depth_m},
                    size.diameter_m / 2.0});
  return checked({std::move(name), MetalKind::line, std::move(bars)});
}

PlanPose towards(const std::vector<PmeMetal>& metal, const electrode::SurfacePlace& target) {
  require_finite_place(target);
  PlanPose best;
  double best_m = std::numeric_limits<double>::infinity();
  for (const Conductor& bar : joined(metal).conductors) {
    const electrode::SurfacePlace place = nearest_over(bar, target);
    const double away_m = std::hypot(target.x_m - place.x_m, target.y_m - place.y_m);
    if (away_m >= best_m) continue;
    best_m = away_m;
    best = {place, std::atan2(target.y_m - place.y_m, target.x_m - place.x_m) * half_turn_deg / pi};
  }
  if (!(best_m > 0.0)) throw DomainError("target", "over the metal", "beside it in plan");
  return best;
}

electrode::Electrode joined(const std::vector<PmeMetal>& metal) {
  if (metal.empty()) throw DomainError("metal", "none", "at least one piece of metal on the PME earth");
  electrode::Electrode all{"metal on the PME earth", {}, electrode::Crossings::joined};
  for (const PmeMetal& piece : metal)
    all.conductors.insert(all.conductors.end(), piece.conductors.begin(), piece.conductors.end());
  return all;
}

}  // namespace ohmroot::routes
