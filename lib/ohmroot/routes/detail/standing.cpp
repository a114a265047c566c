// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/detail/standing.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::routes::detail {

namespace {

using electrode::SurfacePlace;

constexpr double half_turn_deg = 180.0;
constexpr double usual_pitch_m = 0.25;
constexpr double greatest_count_each_way = 50.0;
constexpr double close_enough_m = 1e-3;

/// Better than the best so far, by a ninefold grid that shrinks around it.
Extreme closed_in(const Standing& ground, const SurfaceFunction& function, Extreme best, double sign) {
  for (double step_m = ground.pitch_m(); step_m > close_enough_m;) {
    std::vector<SurfacePlace> around;
    for (int i = -1; i <= 1; ++i)
      for (int j = -1; j <= 1; ++j)
        around.push_back(ground.nearest({best.place.x_m + i * step_m, best.place.y_m + j * step_m}));
    const std::vector<double> values = function(around);
    bool is_better = false;
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (sign * values[i] <= sign * best.value) continue;
      best = {around[i], values[i]};
      is_better = true;
    }
    if (!is_better) step_m *= 0.5;
  }
  return best;
}

}  // namespace

Standing::Standing(const Parking& parking) : parking_(parking) {
  const electrode::Outline& outline = parking.outline;
  require_finite("outline.centre.x_m", outline.centre.x_m, "m");
  require_finite("outline.centre.y_m", outline.centre.y_m, "m");
  require_finite("outline.direction_deg", outline.direction_deg, "deg");
  require_within("outline.length_m", outline.length_m, "m", {0.0, 1000.0});
  require_within("outline.width_m", outline.width_m, "m", {0.0, 1000.0});
  require_within("feet_reach_m", parking.feet_reach_m, "m", {0.01, 100.0});
  const double angle = outline.direction_deg * std::numbers::pi / half_turn_deg;
  cosine_ = std::cos(angle);
  sine_ = std::sin(angle);
  const double longest_m = std::max(outline.length_m, outline.width_m) + 2.0 * parking.feet_reach_m;
  pitch_m_ =
      std::max(std::min(usual_pitch_m, 0.25 * parking.feet_reach_m), longest_m / greatest_count_each_way);
}

SurfacePlace Standing::inwards(const SurfacePlace& place) const {
  const double x_m = place.x_m - parking_.outline.centre.x_m;
  const double y_m = place.y_m - parking_.outline.centre.y_m;
  return {cosine_ * x_m + sine_ * y_m, cosine_ * y_m - sine_ * x_m};
}

SurfacePlace Standing::outwards(const SurfacePlace& local) const {
  return {parking_.outline.centre.x_m + cosine_ * local.x_m - sine_ * local.y_m,
          parking_.outline.centre.y_m + sine_ * local.x_m + cosine_ * local.y_m};
}

double Standing::distance_m(const SurfacePlace& place) const {
  const SurfacePlace local = inwards(place);
  return std::hypot(std::max(0.0, std::abs(local.x_m) - 0.5 * parking_.outline.length_m),
                    std::max(0.0, std::abs(local.y_m) - 0.5 * parking_.outline.width_m));
}

SurfacePlace Standing::nearest(const SurfacePlace& place) const {
  const double away_m = distance_m(place);
  if (away_m <= parking_.feet_reach_m) return place;
  const SurfacePlace local = inwards(place);
  const double half_length_m = 0.5 * parking_.outline.length_m;
  const double half_width_m = 0.5 * parking_.outline.width_m;
  const SurfacePlace edge{std::clamp(local.x_m, -half_length_m, half_length_m),
                          std::clamp(local.y_m, -half_width_m, half_width_m)};
  const double part = parking_.feet_reach_m / away_m;
  return outwards({std::lerp(edge.x_m, local.x_m, part), std::lerp(edge.y_m, local.y_m, part)});
}

std::vector<SurfacePlace> Standing::grid() const {
  const auto halves = [this](double side_m) {
    return static_cast<int>(std::ceil((0.5 * side_m + parking_.feet_reach_m) / pitch_m_));
  };
  const int x_count = halves(parking_.outline.length_m);
  const int y_count = halves(parking_.outline.width_m);
  std::vector<SurfacePlace> places;
  for (int j = -y_count; j <= y_count; ++j)
    for (int i = -x_count; i <= x_count; ++i)
      places.push_back(nearest(outwards({i * pitch_m_, j * pitch_m_})));
  return places;
}

Extremes extremes_on(const Standing& ground, std::span<const SurfacePlace> hints,
                     const SurfaceFunction& function) {
  std::vector<SurfacePlace> places = ground.grid();
  for (const SurfacePlace& hint : hints)
    places.push_back(ground.nearest(hint));
  const std::vector<double> values = function(places);
  const auto [least, greatest] = std::minmax_element(values.begin(), values.end());
  const auto start = [&](auto at) {
    return Extreme{places[static_cast<std::size_t>(at - values.begin())], *at};
  };
  return {closed_in(ground, function, start(least), -1.0), closed_in(ground, function, start(greatest), 1.0)};
}

}  // namespace ohmroot::routes::detail
