// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/curve_rules.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>

// clang-format off
#include <math.h>  // first: the isnan of pchip.hpp is the global one
#include <boost/math/interpolators/pchip.hpp>
// clang-format on
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace ohmroot::acceptance {
namespace {

constexpr double least_width_ratio = 0.2;  // of the current stake's distance, for a part to count as flat
constexpr double slope_table_least = 0.4;
constexpr double slope_table_greatest = 1.59;

double mean_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values)
    sum += value;
  return sum / static_cast<double>(values.size());
}

std::optional<Intersection> agreement_at(const std::vector<StraightCurve>& curves, double centre_m) {
  std::vector<double> values_ohm;
  for (const StraightCurve& curve : curves) {
    const double place_m =
        electrode::small_electrode_position_ratio() * (curve.current_distance_m + centre_m) - centre_m;
    const auto value_ohm = reading_at(curve, place_m);
    if (!value_ohm) return std::nullopt;
    values_ohm.push_back(*value_ohm);
  }
  const auto [least, greatest] = std::minmax_element(values_ohm.begin(), values_ohm.end());
  const double mean_ohm = mean_of(values_ohm);
  return Intersection{centre_m, mean_ohm, (*greatest - *least) / mean_ohm};
}

}  // namespace

std::vector<StraightCurve> straight_curves(const std::vector<StakeReading>& readings) {
  std::map<double, std::map<double, std::vector<double>>> by_distance;
  for (const StakeReading& reading : readings) {
    if (reading.between_deg != 0.0 || reading.potential_distance_m >= reading.current_distance_m) continue;
    by_distance[reading.current_distance_m][reading.potential_distance_m].push_back(reading.resistance_ohm);
  }
  std::vector<StraightCurve> curves;
  for (const auto& [current_m, points] : by_distance) {
    StraightCurve curve{current_m, {}, {}};
    for (const auto& [potential_m, values_ohm] : points) {
      curve.potential_distance_m.push_back(potential_m);
      curve.resistance_ohm.push_back(mean_of(values_ohm));
    }
    curves.push_back(std::move(curve));
  }
  return curves;
}

std::optional<FlatPart> flat_part(const StraightCurve& curve, double tolerance_ratio) {
  require_within("tolerance_ratio", tolerance_ratio, "1", {1e-4, 0.5});
  std::optional<FlatPart> widest;
  const std::size_t count = curve.resistance_ohm.size();
  for (std::size_t first = 0; first < count; ++first) {
    for (std::size_t last = first + 2; last < count; ++last) {
      const auto begin = curve.resistance_ohm.begin();
      const std::vector<double> run(begin + static_cast<std::ptrdiff_t>(first),
                                    begin + static_cast<std::ptrdiff_t>(last) + 1);
      const double mean_ohm = mean_of(run);
      const auto [least, greatest] = std::minmax_element(run.begin(), run.end());
      if (std::max(*greatest - mean_ohm, mean_ohm - *least) > tolerance_ratio * mean_ohm) continue;
      const FlatPart part{curve.potential_distance_m[first], curve.potential_distance_m[last], mean_ohm};
      if (part.to_m - part.from_m < least_width_ratio * curve.current_distance_m) continue;
      if (!widest || part.to_m - part.from_m > widest->to_m - widest->from_m) widest = part;
    }
  }
  return widest;
}

std::optional<double> reading_at(const StraightCurve& curve, double potential_distance_m) {
  const std::vector<double>& places_m = curve.potential_distance_m;
  if (places_m.empty() || potential_distance_m < places_m.front() || potential_distance_m > places_m.back())
    return std::nullopt;
  const auto exact = std::lower_bound(places_m.begin(), places_m.end(), potential_distance_m);
  const auto index = static_cast<std::size_t>(exact - places_m.begin());
  if (*exact == potential_distance_m) return curve.resistance_ohm[index];
  if (places_m.size() < 4) {  // too few for a cubic
    const double share =
        (potential_distance_m - places_m[index - 1]) / (places_m[index] - places_m[index - 1]);
    return std::lerp(curve.resistance_ohm[index - 1], curve.resistance_ohm[index], share);
  }
  const boost::math::interpolators::pchip<std::vector<double>> through(
      std::vector<double>(places_m), std::vector<double>(curve.resistance_ohm));
  return through(potential_distance_m);
}

std::optional<double> reading_at_61_8_percent(const StraightCurve& curve) {
  return reading_at(curve, electrode::small_electrode_position_ratio() * curve.current_distance_m);
}

std::optional<SlopeResult> slope_method(const StraightCurve& curve) {
  const auto at = [&](double share) { return reading_at(curve, share * curve.current_distance_m); };
  const auto at_20 = at(0.2);
  const auto at_40 = at(0.4);
  const auto at_60 = at(0.6);
  if (!at_20 || !at_40 || !at_60) return std::nullopt;
  SlopeResult result;
  if (*at_40 == *at_20) {
    result.refusal =
        "slope method: the readings at 20 and 40 % are equal; the curve is flat there and needs no "
        "slope method";
    return result;
  }
  result.slope_ratio = electrode::slope_ratio({*at_20, *at_40, *at_60});
  if (result.slope_ratio < slope_table_least || result.slope_ratio > slope_table_greatest) {
    result.refusal = fmt::format("slope method: the slope coefficient {} is outside the table (0.4 to 1.59); "
                                 "{}",
                                 format_number(result.slope_ratio, 3),
                                 result.slope_ratio > slope_table_greatest
                                     ? "the current stake stands too near: move it farther and repeat"
                                     : "the curve is too flat, or too noisy, for its slope to say anything");
    return result;
  }
  result.position_ratio = electrode::slope_position_ratio(result.slope_ratio);
  result.resistance_ohm = at(*result.position_ratio);
  if (!result.resistance_ohm)
    result.refusal =
        fmt::format("slope method: no readings reach {} of the current stake's distance, where the "
                    "potential stake has to stand",
                    format_number(*result.position_ratio, 3));
  return result;
}

std::optional<Intersection> intersecting_curves(const std::vector<StraightCurve>& curves) {
  if (curves.size() < 2 || curves.back().current_distance_m < 1.2 * curves.front().current_distance_m)
    return std::nullopt;
  constexpr int step_count = 220;
  std::optional<Intersection> best;
  for (int i = 0; i <= step_count; ++i) {
    const double share = -0.05 + 0.55 * i / step_count;
    const auto here = agreement_at(curves, share * curves.front().current_distance_m);
    if (here && (!best || here->spread_ratio < best->spread_ratio)) best = here;
  }
  return best;
}

}  // namespace ohmroot::acceptance
