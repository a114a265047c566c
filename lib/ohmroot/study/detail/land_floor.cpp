// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/study/detail/land_floor.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/land.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::study::detail {
namespace {

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

constexpr double proof_share_ratio = 0.99;

/// Each soil takes a fraction of a second, so only a few are solved: enough to say where the floor lies, not enough
/// for a proof over all of them.
std::optional<Estimate> block_floor(const electrode::ReachableVolume& volume, const AllowedSoils& allowed,
                                    double season_ratio) {
  constexpr std::size_t greatest_count = 9;
  const std::size_t count = std::min(allowed.soils.size(), greatest_count);
  std::vector<double> bounds_ohm(count);
  try {
    for_each_index(count, [&](std::size_t i) {
      const earth::LayeredSoil& soil = allowed.soils[i * allowed.soils.size() / count];
      bounds_ohm[i] = season_ratio * electrode::block_resistance(soil, volume, {3}).lower_bound_ohm;
    });
  } catch (const DomainError&) {
    return std::nullopt;
  }
  const double first_ohm = bounds_ohm.front();
  std::sort(bounds_ohm.begin(), bounds_ohm.end());
  return Estimate{
      allowed.are_draws ? quantile(bounds_ohm, 0.5) : first_ohm, bounds_ohm.front(), bounds_ohm.back(),
      fmt::format("land and depth as one solid block of metal, lower bound by field solution in the most "
                  "favourable season; least, middle and greatest over {} soils",
                  count)};
}

}  // namespace

std::optional<FloorResult> floor_on_land(const Site& site, const SoilPicture& soil, double most_lenient_ohm) {
  if (!site.land || soil.allowed.soils.empty()) return std::nullopt;
  const electrode::ReachableVolume volume = enclosing_volume(*site.land);
  const double factor_per_m = electrode::ellipsoid_floor_bound_per_m(volume);
  const double season_ratio = site.season ? site.season->least_ratio : 1.0;
  std::vector<double> floors_ohm;
  for (const earth::LayeredSoil& allowed : soil.allowed.soils)
    floors_ohm.push_back(factor_per_m * allowed.least_resistivity_ohm_m() * season_ratio);
  const double central_ohm = soil.allowed.are_draws ? 0.0 : floors_ohm.front();
  std::sort(floors_ohm.begin(), floors_ohm.end());
  const auto above = std::upper_bound(floors_ohm.begin(), floors_ohm.end(), most_lenient_ohm);

  FloorResult floor;
  floor.share_above_ratio =
      static_cast<double>(floors_ohm.end() - above) / static_cast<double>(floors_ohm.size());
  const bool are_draws = soil.allowed.are_draws;
  floor.floor_ohm = {
      are_draws ? quantile(floors_ohm, 0.5) : central_ohm,
      quantile(floors_ohm, are_draws ? 1 - proof_share_ratio : 0.0),
      quantile(floors_ohm, are_draws ? proof_share_ratio : 1.0),
      fmt::format("half-ellipsoid enclosing land and depth, wholly of the least resistive layer's "
                  "soil, in the most favourable season; {}",
                  are_draws ? fmt::format("1, 50 and 99 % points of {} soils that the readings allow",
                                          floors_ohm.size())
                            : "ends of what is known of the soil")};
  floor.block_ohm = block_floor(volume, soil.allowed, season_ratio);
  floor.proves_infeasible = may_rule_out(soil.evidence) && floor.share_above_ratio >= proof_share_ratio;
  floor.why =
      floor.proves_infeasible
          ? fmt::format(
                "In {} % of the soils that the data allow no new electrode inside this land and depth can be "
                "below the most lenient limit, {}: in all but the best of them it is at least {}.",
                format_number(100 * floor.share_above_ratio, 3), ohms(most_lenient_ohm),
                ohms(floor.floor_ohm.least))
          : fmt::format("The floor ({}) does not rule out every electrode on this land; larger ones than the "
                        "candidates may do better.",
                        ohms(floor.floor_ohm.least));
  if (floor.block_ohm && floor.block_ohm->least > most_lenient_ohm && !floor.proves_infeasible &&
      may_rule_out(soil.evidence))
    floor.why += fmt::format(
        " In each of the soils tried the solid block of metal has {} or more, above even the most "
        "lenient limit: a strong sign, though no proof over 99 % of the soils.",
        ohms(floor.block_ohm->least));
  floor.why += " It concerns new metal in that volume, not metal already in the ground.";
  return floor;
}

}  // namespace ohmroot::study::detail
