// SPDX-License-Identifier: MIT
#include <ohmroot/design/detail/in_ground.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <algorithm>
#include <utility>
#include <variant>

namespace ohmroot::design::detail {
namespace {

double solved_ohm(const earth::LayeredSoil& soil, const electrode::Electrode& metal) {
  return electrode::solve_field(soil, {metal}).resistance_ohm(0, 0);
}

}  // namespace

Parts aged(Parts parts, const GroundDraw& draw) {
  parts.rod_diameter_m -= draw.diameter_loss_m;
  parts.tape_width_m -= draw.diameter_loss_m;
  return parts;
}

electrode::Shape piece_in(const Parts& parts, const GroundDraw& draw, int section_count) {
  electrode::Shape piece = piece_of(aged(parts, draw), section_count);
  if (auto* rod = std::get_if<electrode::Rod>(&piece))
    rod->length_m = std::min(rod->length_m, draw.refusal_depth_m);
  return piece;
}

bool freezes(const GroundDraw& draw) {
  return draw.frost_depth_m > 0.0 && draw.frozen_ratio != 1.0;
}

earth::LayeredSoil frozen_soil(const GroundDraw& draw) {
  constexpr double least_layer_m = 1e-3;  // what is left of a layer under the frost, to count
  const std::vector<earth::Layer>& layers = draw.soil.layers();
  std::vector<earth::Layer> frozen;
  double top_m = 0.0;
  for (std::size_t i = 0; i < layers.size(); ++i) {
    const bool is_last = i + 1 == layers.size();
    const double bottom_m = top_m + layers[i].thickness_m;
    const bool ends_above = !is_last && bottom_m <= draw.frost_depth_m + least_layer_m;
    if (top_m + least_layer_m < draw.frost_depth_m)
      frozen.push_back({layers[i].resistivity_ohm_m * draw.frozen_ratio,
                        (ends_above ? bottom_m : draw.frost_depth_m) - top_m});
    if (!ends_above) {
      const double from_m = std::max(top_m, draw.frost_depth_m);
      frozen.push_back({layers[i].resistivity_ohm_m, is_last ? layers[i].thickness_m : bottom_m - from_m});
    }
    top_m = bottom_m;
  }
  return earth::LayeredSoil(std::move(frozen));
}

double worst_season_ohm(const Arrangement& arrangement, const Parts& parts, const GroundDraw& draw) {
  const electrode::Electrode metal = metal_of(arrangement, aged(parts, draw), draw.refusal_depth_m);
  const double dry_ohm = solved_ohm(draw.soil, metal) * draw.worst_season_ratio;
  return freezes(draw) ? std::max(dry_ohm, solved_ohm(frozen_soil(draw), metal)) : dry_ohm;
}

}  // namespace ohmroot::design::detail
