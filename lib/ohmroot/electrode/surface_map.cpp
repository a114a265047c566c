// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

namespace {

using std::numbers::pi;

constexpr double half_turn_deg = 180.0;

void require_electrode(const FieldSolution& field, std::size_t electrode) {
  if (electrode >= field.electrode_count())
    throw DomainError("electrode", static_cast<double>(electrode), "1", "less than the number of electrodes");
}

void require_finite_place(const SurfacePlace& place) {
  require_finite("x_m", place.x_m, "m");
  require_finite("y_m", place.y_m, "m");
}

double surface_v(const FieldSolution& field, const FieldState& state, const SurfacePlace& at) {
  const Place place{at.x_m, at.y_m, 0.0};
  return field.potentials_v(state, {&place, 1}).front();
}

/// The line at a distance round a rectangle: straight sides and quarter circles.
class Walk {
public:
  Walk(const Outline& outline, double reach_m) : outline_(outline), reach_m_(reach_m) {}

  [[nodiscard]] double length_m() const {
    return 2.0 * (outline_.length_m + outline_.width_m) + 2.0 * pi * reach_m_;
  }

  [[nodiscard]] SurfacePlace at(double along_m) const {
    double left_m = std::fmod(along_m, length_m());
    if (left_m < 0.0) left_m += length_m();
    const double half_m[] = {outline_.length_m / 2.0, outline_.width_m / 2.0};
    const double quarter_m = 0.5 * pi * reach_m_;
    for (int side = 0; side < 4; ++side) {  // each starts in the middle of a corner's far end, turning left
      const double across_m = half_m[side % 2];  // distance of the side from the centre
      const double half_side_m = half_m[1 - side % 2];
      if (left_m <= 2.0 * half_side_m) return turned(side, {across_m + reach_m_, left_m - half_side_m});
      left_m -= 2.0 * half_side_m;
      if (left_m <= quarter_m || side == 3) {
        const double angle = std::min(left_m / reach_m_, 0.5 * pi);
        return turned(side,
                      {across_m + reach_m_ * std::cos(angle), half_side_m + reach_m_ * std::sin(angle)});
      }
      left_m -= quarter_m;
    }
    return outline_.centre;  // not reached: the last side takes what is left
  }

private:
  [[nodiscard]] SurfacePlace turned(int quarter_turns, const SurfacePlace& local) const {
    const double angle = 0.5 * pi * quarter_turns + outline_.direction_deg * pi / half_turn_deg;
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    return {outline_.centre.x_m + c * local.x_m - s * local.y_m,
            outline_.centre.y_m + s * local.x_m + c * local.y_m};
  }

  Outline outline_;
  double reach_m_;
};

/// Greatest value of a function near a sample that is not less than its neighbours at either end.
template <class Function>
double narrowed(Function function, double from, double to) {
  constexpr double golden = 0.6180339887498949;
  double a = from;
  double b = to;
  for (int i = 0; i < 40; ++i) {
    const double low = b - golden * (b - a);
    const double high = a + golden * (b - a);
    (function(low) > function(high) ? b : a) = function(low) > function(high) ? high : low;
  }
  return 0.5 * (a + b);
}

}  // namespace

FieldState state_of(const FieldSolution& field, const Energised& energised) {
  require_electrode(field, energised.electrode);
  std::vector<Duty> duties(field.electrode_count(), {DutyKind::floating, 0.0});
  duties[energised.electrode] = {DutyKind::current, energised.current_a};
  return field.state(duties);
}

double SurfaceMap::x_m(int column) const {
  return grid.x_from_m + (grid.x_to_m - grid.x_from_m) * column / (grid.x_count - 1);
}
double SurfaceMap::y_m(int row) const {
  return grid.y_from_m + (grid.y_to_m - grid.y_from_m) * row / (grid.y_count - 1);
}
double SurfaceMap::potential_v(int column, int row) const {
  if (column < 0 || column >= grid.x_count) throw DomainError("column", column, "1", "a column of the grid");
  if (row < 0 || row >= grid.y_count) throw DomainError("row", row, "1", "a row of the grid");
  return potentials_v[static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.x_count) +
                      static_cast<std::size_t>(column)];
}

SurfaceMap surface_map(const FieldSolution& field, const FieldState& state, const MapGrid& grid) {
  for (const double end_m : {grid.x_from_m, grid.x_to_m, grid.y_from_m, grid.y_to_m})
    require_finite("grid", end_m, "m");
  require_positive("x_to_m - x_from_m", grid.x_to_m - grid.x_from_m, "m");
  require_positive("y_to_m - y_from_m", grid.y_to_m - grid.y_from_m, "m");
  require_within("x_count", grid.x_count, "1", {2, 4000});
  require_within("y_count", grid.y_count, "1", {2, 4000});
  SurfaceMap map{grid, {}};
  std::vector<Place> places;
  for (int row = 0; row < grid.y_count; ++row)
    for (int column = 0; column < grid.x_count; ++column)
      places.push_back({map.x_m(column), map.y_m(row), 0.0});
  map.potentials_v = field.potentials_v(state, places);
  return map;
}

double touch_voltage_v(const FieldSolution& field, const FieldState& state, std::size_t electrode,
                       const SurfacePlace& feet) {
  require_electrode(field, electrode);
  require_finite_place(feet);
  return state.potentials_v.at(electrode) - surface_v(field, state, feet);
}

TouchPlace worst_touch(const FieldSolution& field, const FieldState& state, std::size_t electrode,
                       const Outline& outline, double reach_m) {
  require_electrode(field, electrode);
  require_finite_place(outline.centre);
  require_finite("direction_deg", outline.direction_deg, "deg");
  require_within("length_m", outline.length_m, "m", {0.0, 1000.0});
  require_within("width_m", outline.width_m, "m", {0.0, 1000.0});
  require_within("reach_m", reach_m, "m", {0.01, 100.0});
  const Walk walk(outline, reach_m);
  const auto magnitude_v = [&](double along_m) {
    return std::abs(touch_voltage_v(field, state, electrode, walk.at(along_m)));
  };
  const int sample_count =
      static_cast<int>(std::clamp(std::ceil(20.0 * walk.length_m() / reach_m), 100.0, 1e4));
  const double step_m = walk.length_m() / sample_count;
  double best_m = 0.0;
  double best_v = -1.0;
  for (int i = 0; i < sample_count; ++i) {
    const double found_v = magnitude_v(i * step_m);
    if (found_v > best_v) {
      best_v = found_v;
      best_m = i * step_m;
    }
  }
  const double narrowed_m = narrowed(magnitude_v, best_m - step_m, best_m + step_m);
  if (magnitude_v(narrowed_m) > best_v) best_m = narrowed_m;
  const SurfacePlace feet = walk.at(best_m);
  return {feet, touch_voltage_v(field, state, electrode, feet)};
}

StepVoltage step_voltage(const FieldSolution& field, const FieldState& state, const SurfacePlace& place,
                         double step_m) {
  require_finite_place(place);
  require_within("step_m", step_m, "m", {0.01, 100.0});
  const auto fall_v = [&](double angle) {
    const double x = 0.5 * step_m * std::cos(angle);
    const double y = 0.5 * step_m * std::sin(angle);
    return surface_v(field, state, {place.x_m - x, place.y_m - y}) -
           surface_v(field, state, {place.x_m + x, place.y_m + y});
  };
  constexpr int direction_count = 48;  // opposite directions are the same step
  constexpr double turn = 2.0 * pi / direction_count;
  double best = 0.0;
  double best_v = -1.0;
  for (int i = 0; i < direction_count / 2; ++i) {
    const double found_v = fall_v(turn * i);
    if (std::abs(found_v) > best_v) {
      best_v = std::abs(found_v);
      best = found_v >= 0.0 ? turn * i : turn * i + pi;
    }
  }
  const double narrow = narrowed(fall_v, best - turn, best + turn);
  if (fall_v(narrow) > best_v) best = narrow;
  return {fall_v(best), best * half_turn_deg / pi};
}

}  // namespace ohmroot::electrode
