// SPDX-License-Identifier: MIT
#include <ohmroot/routes/detail/share_field.hpp>

#include <algorithm>

namespace ohmroot::routes::detail {

namespace {

using electrode::Conductor;
using electrode::Duty;
using electrode::DutyKind;
using electrode::Electrode;
using electrode::Place;

constexpr electrode::FieldOptions field_options{.place_tolerance_ratio = 1e-3};
constexpr double estimates_per_share = 4.0;

std::vector<Place> surface_of(std::span<const electrode::SurfacePlace> places) {
  std::vector<Place> surface;
  for (const electrode::SurfacePlace& place : places)
    surface.push_back({place.x_m, place.y_m, 0.0});
  return surface;
}

std::vector<Electrode> all_of(const Electrode& metal, const std::vector<Conductor>& floating) {
  std::vector<Electrode> all{metal};
  if (!floating.empty()) all.push_back({"electrode connected to nothing", floating});
  return all;
}

electrode::FieldState one_volt_on_first(const electrode::FieldSolution& field) {
  std::vector<Duty> duties(field.electrode_count(), Duty{DutyKind::floating});
  duties.front() = {DutyKind::potential, 1.0};
  return field.state(duties);
}

}  // namespace

ShareField::ShareField(const earth::LayeredSoil& soil, const Electrode& metal,
                       const std::vector<Conductor>& floating)
    : field_(electrode::solve_field(soil, all_of(metal, floating), field_options)),
      state_(one_volt_on_first(field_)) {}

electrode::FieldStatus ShareField::status() const {
  return field_.status();
}

std::string ShareField::remark() const {
  return field_.remark();
}

Share ShareField::share_of(double ratio) const {
  // Nothing else feeds current into the soil: shares lie between those of the metal and of remote earth.
  const double within_ratio = std::clamp(ratio, 0.0, 1.0);
  const double estimate_ratio = std::max(field_.estimate_ratio(), field_.place_estimate_ratio().value());
  return {within_ratio, estimates_per_share * estimate_ratio * within_ratio};
}

Share ShareField::of_electrode() const {
  return share_of(state_.potentials_v.at(1));
}

std::vector<double> ShareField::ratios(std::span<const electrode::SurfacePlace> places) const {
  return field_.potentials_v(state_, surface_of(places));
}

std::vector<Share> ShareField::of_surface(std::span<const electrode::SurfacePlace> places) const {
  std::vector<Share> shares;
  for (const double ratio : ratios(places))
    shares.push_back(share_of(ratio));
  return shares;
}

}  // namespace ohmroot::routes::detail
