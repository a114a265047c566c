// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/study/detail/largest_arrangement.hpp>
#include <ohmroot/study/detail/rod_soils.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::study::detail {
namespace {

/// Beyond this the field solution in some seventy soils would keep a first answer waiting.
constexpr int greatest_solved_count = 120;

/// Equally spaced along the boundary from a corner.
electrode::Electrode rods_on_boundary(const LargestArrangement& arrangement) {
  const electrode::ReachableVolume& land = arrangement.volume;
  const double step_m = 2 * (land.length_m + land.width_m) / arrangement.rod_count;
  electrode::Electrode metal{"rods round the boundary", {}};
  for (int i = 0; i < arrangement.rod_count; ++i) {
    double along_m = i * step_m;
    electrode::Place top{0.0, 0.0, 0.0};
    const bool is_far_half = along_m > land.length_m + land.width_m;
    if (is_far_half) along_m -= land.length_m + land.width_m;
    top.x_m = std::min(along_m, land.length_m);
    top.y_m = along_m - top.x_m;
    if (is_far_half) top = {land.length_m - top.x_m, land.width_m - top.y_m, 0.0};
    metal.conductors.push_back(
        {top, {top.x_m, top.y_m, arrangement.rod.length_m}, arrangement.rod.diameter_m / 2});
  }
  return metal;
}

void add_field_factor(LargestArrangement& arrangement) {
  if (arrangement.rod_count > greatest_solved_count) {
    arrangement.field_refusal =
        fmt::format("more than {} rods: by the formula only at the desk", greatest_solved_count);
    return;
  }
  try {
    arrangement.field_factor_per_m =
        electrode::solve_field(earth::LayeredSoil(1.0), {rods_on_boundary(arrangement)}).resistance_ohm(0, 0);
  } catch (const DomainError& refusal) {
    arrangement.field_refusal = refusal.what();
  }
}

}  // namespace

int rods_round(const electrode::ReachableVolume& volume, double spacing_m) {
  const double boundary_m = 2 * (volume.length_m + volume.width_m);
  return std::max(1, static_cast<int>(std::floor(boundary_m / spacing_m + 1e-9)));
}

/// Published formula: R_n = (R_1/n)(1 + lambda a), a = rho / (2 pi R_1 s); lambda of the hollow square with
/// the same number of rods, read between the entries of its table.
LargestArrangement largest_arrangement(const electrode::ReachableVolume& volume, double rod_diameter_m) {
  LargestArrangement largest;
  largest.rod = {volume.depth_m, rod_diameter_m};
  largest.volume = volume;
  largest.spacing_m = volume.depth_m;
  largest.rod_count = rods_round(volume, largest.spacing_m);
  const electrode::FormulaResult one = electrode::default_formula(largest.rod);
  if (largest.rod_count < 4) {
    // Too little land for a square: the rods stand in a line as far as they go.
    largest.group_factor_ratio =
        largest.rod_count == 1 ? 0.0 : electrode::line_group_factor(largest.rod_count).lambda_ratio;
    largest.basis = "rods in line, BS 7430 group factor; ";
  } else {
    const double per_side = largest.rod_count / 4.0 + 1.0;
    const int below = static_cast<int>(std::floor(per_side));
    const double lambda_below = electrode::square_group_factor(below).lambda_ratio;
    const double lambda_above = electrode::square_group_factor(below + 1).lambda_ratio;
    largest.group_factor_ratio = lambda_below + (per_side - below) * (lambda_above - lambda_below);
    largest.basis =
        "rods round a hollow square of the same number, BS 7430 group factor (table from memory, checked "
        "against the equal-current sum); ";
  }
  const double alpha_ratio = 1.0 / (2 * std::numbers::pi * one.geometry_factor_per_m * largest.spacing_m);
  largest.factor_per_m =
      one.geometry_factor_per_m / largest.rod_count * (1 + largest.group_factor_ratio * alpha_ratio);
  largest.basis += fmt::format("one rod: {}", one.formula->source);
  add_field_factor(largest);
  return largest;
}

std::optional<Estimate> arrangement_spread(const LargestArrangement& arrangement,
                                           const SoilFromRod& reading) {
  if (!arrangement.field_factor_per_m) return std::nullopt;
  const AllowedSoils allowed = soils_of(reading);
  const std::vector<electrode::Electrode> metal{rods_on_boundary(arrangement)};
  std::vector<double> resistances_ohm(allowed.soils.size());
  for_each_index(allowed.soils.size(), [&](std::size_t i) {
    resistances_ohm[i] = electrode::solve_field(allowed.soils[i], metal).resistance_ohm(0, 0);
  });
  const auto [least, greatest] = std::minmax_element(resistances_ohm.begin(), resistances_ohm.end());
  return Estimate{resistances_ohm.front(), *least, *greatest,
                  "field solution, each rod where it stands; ends over " + allowed.basis +
                      ", not a 90 % interval"};
}

}  // namespace ohmroot::study::detail
