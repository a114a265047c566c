// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/spacing_plan.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::sounding {
namespace {

/// Spacings that a tape shows at a glance, six to a decade.
constexpr std::array<double, 6> steps{1.0, 1.5, 2.0, 3.0, 4.0, 6.0};  // unit: none
constexpr double longest_stake_m = 0.3;
constexpr double least_step_ratio = 1.1;  // less is not worth a walk

PlannedSpacing planned(double spacing_m) {
  const FourPoleReading reading = wenner_reading(spacing_m, 1.0);
  return {spacing_m,
          reading.half_potential_spacing_m,
          reading.half_current_spacing_m,
          std::min(detail::greatest_depth_ratio * spacing_m, longest_stake_m),
          median_depth_m(reading),
          geometric_factor_m(reading)};
}

/// Round spacings between two ends, both included where they are round.
std::vector<double> round_spacings_m(double least_m, double greatest_m) {
  constexpr double slack = 1e-9;
  std::vector<double> spacings_m;
  for (double decade = 0.1; decade <= greatest_m; decade *= 10.0) {
    for (const double step : steps) {
      const double spacing_m = std::round(1000.0 * decade * step) / 1000.0;
      if (spacing_m >= least_m - slack && spacing_m <= greatest_m + slack) spacings_m.push_back(spacing_m);
    }
  }
  return spacings_m;
}

/// The round spacing at or next below.
double round_down_m(double spacing_m) {
  return round_spacings_m(spacing_m / 10.0, spacing_m).back();
}

std::string metres(double value_m) {
  return format_quantity(value_m, Dimension::length, 2);
}

}  // namespace

SpacingPlan plan_spacings(const PlannedElectrode& electrode, const StraightLand& land) {
  require_within("electrode.depth_m", electrode.depth_m, "m", {0.3, 100.0});
  require_within("electrode.extent_m", electrode.extent_m, "m", {0.0, 1000.0});
  require_within("land.length_m", land.length_m, "m", {1.5, 1e4});
  const double depth_per_spacing = median_depth_m(wenner_reading(1.0, 1.0));
  const double needed_m = std::max(electrode.depth_m / depth_per_spacing, electrode.extent_m);
  const double allowed_m = land.length_m / 3.0;
  const double widest_m = std::min(std::ceil(2.0 * needed_m) / 2.0, allowed_m);
  const double narrowest_m =
      std::min(round_down_m(std::min(1.0, electrode.depth_m / 2.0)), round_down_m(widest_m));

  SpacingPlan plan;
  for (const double spacing_m : round_spacings_m(narrowest_m, widest_m))
    plan.spacings.push_back(planned(spacing_m));
  // The widest itself, where it is no round one; in whole decimetres.
  const double last_m = std::floor(10.0 * widest_m + 1e-9) / 10.0;
  if (last_m > plan.spacings.back().spacing_m) {
    if (last_m < least_step_ratio * plan.spacings.back().spacing_m) plan.spacings.pop_back();
    plan.spacings.push_back(planned(last_m));
  }

  const PlannedSpacing& widest = plan.spacings.back();
  plan.reaches_depth = widest.spacing_m >= needed_m * (1.0 - 1e-9);
  plan.why =
      fmt::format("{} spacings from {} to {}; the widest takes {} of straight land and looks {} deep",
                  plan.spacings.size(), metres(plan.spacings.front().spacing_m), metres(widest.spacing_m),
                  metres(2.0 * widest.outer_stake_m), metres(widest.median_depth_m));
  if (!plan.reaches_depth)
    plan.why += fmt::format(
        "; the electrode asks for a spacing of {}, which takes {}: look for a longer line close by, "
        "or drive a test rod, else the soil at its depth stays a guess",
        metres(needed_m), metres(3.0 * needed_m));
  return plan;
}

}  // namespace ohmroot::sounding
