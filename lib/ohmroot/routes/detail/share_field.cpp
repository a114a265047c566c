// SPDX-License-Identifier: MIT
#include <ohmroot/routes/detail/share_field.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::routes::detail {

namespace {

using electrode::Conductor;
using electrode::Place;

constexpr std::array piece_counts{8, 4};
constexpr double least_diameters = 10.0;  // shorter pieces would be stout
constexpr double estimates_per_share = 4.0;
constexpr double differences_per_share = 2.0;

Place between(const Conductor& bar, double part) {
  return {std::lerp(bar.from.x_m, bar.to.x_m, part), std::lerp(bar.from.y_m, bar.to.y_m, part),
          std::lerp(bar.from.depth_m, bar.to.depth_m, part)};
}

std::vector<Conductor> cut(const std::vector<Conductor>& bars, int piece_count) {
  std::vector<Conductor> pieces;
  for (const Conductor& bar : bars) {
    const double length_m =
        std::hypot(bar.to.x_m - bar.from.x_m, bar.to.y_m - bar.from.y_m, bar.to.depth_m - bar.from.depth_m);
    const double most = std::floor(length_m / (least_diameters * 2.0 * bar.radius_m));
    const int count = static_cast<int>(std::clamp(most, 1.0, static_cast<double>(piece_count)));
    for (int i = 0; i < count; ++i)
      pieces.push_back({i == 0 ? bar.from : between(bar, static_cast<double>(i) / count),
                        i + 1 == count ? bar.to : between(bar, static_cast<double>(i + 1) / count),
                        bar.radius_m, bar.coating});
  }
  return pieces;
}

std::vector<Place> surface_of(std::span<const electrode::SurfacePlace> places) {
  std::vector<Place> surface;
  for (const electrode::SurfacePlace& place : places)
    surface.push_back({place.x_m, place.y_m, 0.0});
  return surface;
}

}  // namespace

ShareField::ShareField(const earth::LayeredSoil& soil, const electrode::Electrode& metal,
                       const std::vector<Conductor>& floating) {
  std::vector<electrode::Electrode> all{metal};
  std::vector<electrode::Duty> duties{{electrode::DutyKind::potential, 1.0}};
  if (!floating.empty()) {
    all.push_back({"electrode connected to nothing", floating});
    duties.push_back({electrode::DutyKind::floating});
  }
  electrode::require_valid(all);  // before pieces change the numbers of the bars
  for (const int piece_count : piece_counts) {
    std::vector<electrode::Electrode> pieces = all;
    for (electrode::Electrode& one : pieces)
      one.conductors = cut(one.conductors, piece_count);
    electrode::FieldSolution field = electrode::solve_field(soil, pieces);
    electrode::FieldState state = field.state(duties);
    solved_.push_back({std::move(field), std::move(state)});
  }
}

electrode::FieldStatus ShareField::status() const {
  return solved_.front().field.status();
}

std::string ShareField::remark() const {
  return solved_.front().field.remark();
}

Share ShareField::share_of(double fine_ratio, double coarse_ratio) const {
  // Nothing else feeds current into the soil: shares lie between those of the metal and of remote earth.
  const double ratio = std::clamp(fine_ratio, 0.0, 1.0);
  return {ratio, differences_per_share * std::abs(fine_ratio - coarse_ratio) +
                     estimates_per_share * solved_.front().field.estimate_ratio() * ratio};
}

Share ShareField::of_electrode() const {
  return share_of(solved_.front().state.potentials_v.at(1), solved_.back().state.potentials_v.at(1));
}

std::vector<double> ShareField::ratios(std::span<const electrode::SurfacePlace> places) const {
  return solved_.front().field.potentials_v(solved_.front().state, surface_of(places));
}

std::vector<Share> ShareField::of_surface(std::span<const electrode::SurfacePlace> places) const {
  const std::vector<double> fine = ratios(places);
  const std::vector<double> coarse =
      solved_.back().field.potentials_v(solved_.back().state, surface_of(places));
  std::vector<Share> shares;
  for (std::size_t i = 0; i < fine.size(); ++i)
    shares.push_back(share_of(fine[i], coarse[i]));
  return shares;
}

}  // namespace ohmroot::routes::detail
