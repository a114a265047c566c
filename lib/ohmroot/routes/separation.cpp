// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/detail/plan.hpp>
#include <ohmroot/routes/detail/share_field.hpp>
#include <ohmroot/routes/detail/standing.hpp>
#include <ohmroot/routes/separation.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace ohmroot::routes {

namespace {

using electrode::Conductor;
using electrode::SurfacePlace;

constexpr std::string_view practice_standing = "sources disagree, common practice, no clause";
constexpr std::array practice{PracticeSeparation{2.0, practice_standing},
                              PracticeSeparation{3.5, practice_standing},
                              PracticeSeparation{3.6, practice_standing}};
struct Solved {
  std::vector<Conductor> metal;
  std::vector<Conductor> electrode;  // empty: none
  detail::ShareField field;
};

Solved solved(const SeparationCase& given) {
  const electrode::Electrode metal = joined(given.metal);
  const std::vector<Conductor> electrode =
      given.electrode ? placed(electrode::conductors_of(given.electrode->shape), given.electrode->pose)
                      : std::vector<Conductor>{};
  return {metal.conductors, electrode, detail::ShareField(given.soil, metal, electrode)};
}

Estimate estimate_of(const detail::Share& share, const detail::ShareField& field) {
  return {
      share.ratio, std::max(0.0, share.ratio - share.error_ratio),
      std::min(1.0, share.ratio + share.error_ratio),
      fmt::format("field solution of all the metal in this soil, {} elements; the interval is that of the "
                  "computation (two finenesses and its own estimate), the soil taken as known",
                  field.unknown_count())};
}

/// Where the ground may take its greatest or least share: over the ends of each bar and the place of it that
/// is nearest to the vehicle.
std::vector<SurfacePlace> hints_of(const Solved& solution, const detail::Standing& ground) {
  std::vector<SurfacePlace> hints;
  for (const std::vector<Conductor>* bars : {&solution.metal, &solution.electrode})
    for (const Conductor& bar : *bars) {
      hints.push_back({bar.from.x_m, bar.from.y_m});
      hints.push_back({bar.to.x_m, bar.to.y_m});
      hints.push_back(detail::nearest_on(bar, ground));
    }
  return hints;
}

PlaceShare place_share(const SurfacePlace& place, const detail::ShareField& field) {
  return {place, estimate_of(field.of_surface({&place, 1}).front(), field)};
}

Estimate times_v(const Estimate& share_ratio, double metal_v) {
  return scaled(share_ratio, metal_v, share_ratio.basis);
}

Estimate difference_v(const Estimate& one, const Estimate& other, double metal_v) {
  const double value_v = metal_v * std::abs(one.value - other.value);
  const double off_v = 0.5 * metal_v * (one.greatest - one.least + other.greatest - other.least);
  return {value_v, std::max(0.0, value_v - off_v), std::min(metal_v, value_v + off_v), one.basis};
}

void judge_feet(const SeparationCase& given, const Solved& solution, Transfer& result) {
  const detail::Standing ground(*given.parking);
  const detail::Extremes found =
      detail::extremes_on(ground, hints_of(solution, ground), [&](std::span<const SurfacePlace> places) {
        return solution.field.ratios(places);
      });
  result.most_at_feet = place_share(found.greatest.place, solution.field);
  result.least_at_feet = place_share(found.least.place, solution.field);
  result.feet_v = times_v(result.most_at_feet->share_ratio, given.metal_v);
  result.touch_on_pme_v = difference_v(exactly(1.0, result.least_at_feet->share_ratio.basis),
                                       result.least_at_feet->share_ratio, given.metal_v);
  if (!result.electrode_share_ratio) return;
  const Estimate over_v =
      difference_v(result.most_at_feet->share_ratio, *result.electrode_share_ratio, given.metal_v);
  const Estimate under_v =
      difference_v(result.least_at_feet->share_ratio, *result.electrode_share_ratio, given.metal_v);
  result.touch_on_tt_v = over_v.value > under_v.value ? over_v : under_v;
}

std::string percent(double ratio) {
  return format_number(100.0 * ratio, 3) + " %";
}

std::string finding_of(const SeparationCase& given, const Transfer& result) {
  const auto volts = [](double value_v) { return format_quantity(value_v, Dimension::voltage, 3); };
  std::string text = fmt::format("with the metal on the PME earth at {}", volts(given.metal_v));
  if (result.electrode_share_ratio)
    text += fmt::format(", {} away in plan, the TT electrode takes {} of it, {}",
                        format_number(*result.nearest_m, 3) + " m",
                        percent(result.electrode_share_ratio->value), volts(result.electrode_v->value));
  if (result.most_at_feet)
    text += fmt::format("{} the ground where a person at the vehicle can stand takes {} to {} of it",
                        result.electrode_share_ratio ? ";" : ",",
                        percent(result.least_at_feet->share_ratio.value),
                        percent(result.most_at_feet->share_ratio.value));
  if (result.touch_on_tt_v)
    text += fmt::format(", and a vehicle on the TT electrode stands up to {} from that ground",
                        volts(result.touch_on_tt_v->value));
  if (!result.electrode_share_ratio && !result.most_at_feet)
    text += ", neither a TT electrode nor a parking place was stated to judge";
  return text;
}

}  // namespace

Transfer transfer(const SeparationCase& given) {
  require_positive("metal_v", given.metal_v, "V");
  if (given.parking) static_cast<void>(detail::Standing(*given.parking));  // refuse before the long work
  const Solved solution = solved(given);
  Transfer result;
  result.status = solution.field.status();
  result.remark = solution.field.remark();
  if (given.electrode) {
    result.nearest_m = detail::plan_distance_m(solution.metal, solution.electrode);
    result.electrode_share_ratio = estimate_of(solution.field.of_electrode(), solution.field);
    result.electrode_v = times_v(*result.electrode_share_ratio, given.metal_v);
  }
  if (given.parking) judge_feet(given, solution, result);
  result.finding = finding_of(given, result);
  return result;
}

double thin_rod_share_ratio(const electrode::Rod& rod, double distance_m) {
  electrode::require_valid(electrode::Shape{rod});
  const double radius_m = 0.5 * rod.diameter_m;
  require_within("distance_m", distance_m, "m", {radius_m, std::numeric_limits<double>::max()});
  return std::asinh(rod.length_m / distance_m) / (std::log(4.0 * rod.length_m / radius_m) - 1.0);
}

std::span<const PracticeSeparation> practice_separations() {
  return practice;
}

std::string_view ask_the_distributor() {
  return "ask the distributor which separation in the ground it asks for: 2, 3.5 and 3.6 m are all met in "
         "practice, the sources disagree, and none of them was found as a clause";
}

}  // namespace ohmroot::routes
