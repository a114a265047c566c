// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/stake_model.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::acceptance::detail {
namespace {

constexpr double field_tolerance_ratio = 2e-3;
constexpr double stake_radius_m = 0.006;  // potential stakes nearer to the current stake than this are on it

}  // namespace

struct StakeModel::Impl {
  electrode::FieldSolution field;
  electrode::FieldState state;
  earth::SurfaceKernel kernel;
  electrode::SurfacePlace start;
  double direction_deg;

  [[nodiscard]] electrode::SurfacePlace place(double distance_m, double aside_deg) const {
    const double angle = (direction_deg + aside_deg) * std::numbers::pi / 180.0;
    return {start.x_m + distance_m * std::cos(angle), start.y_m + distance_m * std::sin(angle)};
  }
};

StakeModel::StakeModel(const earth::LayeredSoil& soil, const electrode::Electrode& metal,
                       const electrode::SurfacePlace& start, double current_direction_deg) {
  electrode::FieldSolution field = electrode::solve_field(
      soil, {metal},
      {.tolerance_ratio = field_tolerance_ratio, .place_tolerance_ratio = field_tolerance_ratio});
  electrode::FieldState state = electrode::state_of(field, {0});
  impl_ = std::make_unique<Impl>(
      Impl{std::move(field), std::move(state), earth::SurfaceKernel(soil), start, current_direction_deg});
}
StakeModel::~StakeModel() = default;
StakeModel::StakeModel(StakeModel&&) noexcept = default;
StakeModel& StakeModel::operator=(StakeModel&&) noexcept = default;

double StakeModel::resistance_ohm() const {
  return impl_->field.resistance_ohm(0, 0);
}

double StakeModel::shortfall_ohm(const StakePlace& stakes) const {
  const electrode::SurfacePlace current = impl_->place(stakes.current_distance_m, 0.0);
  const electrode::SurfacePlace potential = impl_->place(stakes.potential_distance_m, stakes.between_deg);
  const std::array<electrode::Place, 2> places{electrode::Place{current.x_m, current.y_m, 0.0},
                                               electrode::Place{potential.x_m, potential.y_m, 0.0}};
  const std::vector<double> of_electrode = impl_->field.potentials_v(impl_->state, places);
  const std::array<double, 1> apart_m{
      std::max(std::hypot(current.x_m - potential.x_m, current.y_m - potential.y_m), stake_radius_m)};
  std::array<double, 1> of_stake{};
  impl_->kernel.potentials_ohm(apart_m, of_stake);
  return of_electrode[0] + of_electrode[1] - of_stake[0];
}

double StakeModel::reading_ohm(const StakePlace& stakes) const {
  return resistance_ohm() - shortfall_ohm(stakes);
}

electrode::SurfacePlace middle_of(const electrode::Electrode& metal) {
  if (metal.conductors.empty()) throw DomainError("electrode", "no conductor", "at least one");
  double least_x_m = metal.conductors.front().from.x_m;
  double greatest_x_m = least_x_m;
  double least_y_m = metal.conductors.front().from.y_m;
  double greatest_y_m = least_y_m;
  for (const electrode::Conductor& bar : metal.conductors) {
    for (const electrode::Place& end : {bar.from, bar.to}) {
      least_x_m = std::min(least_x_m, end.x_m);
      greatest_x_m = std::max(greatest_x_m, end.x_m);
      least_y_m = std::min(least_y_m, end.y_m);
      greatest_y_m = std::max(greatest_y_m, end.y_m);
    }
  }
  return {0.5 * (least_x_m + greatest_x_m), 0.5 * (least_y_m + greatest_y_m)};
}

}  // namespace ohmroot::acceptance::detail
