// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/detail/plan.hpp>
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
constexpr std::size_t metal_index = 0;
constexpr std::size_t electrode_index = 1;

/// A share is the ratio of two resistances, each within twice the solution's estimate.
constexpr double estimates_per_share = 4.0;

class Solved {
public:
  explicit Solved(const SeparationCase& given) {
    std::vector<electrode::Electrode> metal{joined(given.metal)};
    std::vector<electrode::Duty> duties{{electrode::DutyKind::potential, 1.0}};
    if (given.electrode) {
      metal.push_back(
          {"TT electrode", placed(electrode::conductors_of(given.electrode->shape), given.electrode->pose)});
      duties.push_back({electrode::DutyKind::floating});
    }
    nearest_m_ = given.electrode
                     ? std::optional(detail::plan_distance_m(metal[0].conductors, metal[1].conductors))
                     : std::nullopt;
    field_.emplace(electrode::solve_field(given.soil, metal));
    state_ = field_->state(duties);
    for (const electrode::Electrode& one : metal)
      for (const Conductor& bar : one.conductors)
        bars_.push_back(bar);
  }

  [[nodiscard]] const electrode::FieldSolution& field() const { return *field_; }
  [[nodiscard]] std::optional<double> nearest_m() const { return nearest_m_; }
  [[nodiscard]] double electrode_share() const { return state_.potentials_v[electrode_index]; }
  [[nodiscard]] const std::vector<Conductor>& bars() const { return bars_; }

  [[nodiscard]] std::vector<double> shares(std::span<const SurfacePlace> places) const {
    std::vector<electrode::Place> surface;
    for (const SurfacePlace& place : places)
      surface.push_back({place.x_m, place.y_m, 0.0});
    return field_->potentials_v(state_, surface);
  }

  /// Shares lie between those of the metal and of remote earth: nothing else feeds current into the soil.
  [[nodiscard]] Estimate estimate(double share_ratio) const {
    const double off_ratio = estimates_per_share * field_->estimate_ratio() * share_ratio;
    const double value = std::clamp(share_ratio, 0.0, 1.0);
    return {value, std::max(0.0, value - off_ratio), std::min(1.0, value + off_ratio),
            fmt::format("field solution of the metal in this soil, {} elements; interval: four times its own "
                        "error estimate of {} %, the soil taken as known",
                        field_->unknown_count(), format_number(100.0 * field_->estimate_ratio(), 2))};
  }

private:
  std::optional<electrode::FieldSolution> field_;
  electrode::FieldState state_;
  std::optional<double> nearest_m_;
  std::vector<Conductor> bars_;
};

/// Where the ground may take its greatest or least share: over the ends of each bar and the place of it that
/// is nearest to the vehicle.
std::vector<SurfacePlace> hints_of(const std::vector<Conductor>& bars, const detail::Standing& ground) {
  std::vector<SurfacePlace> hints;
  for (const Conductor& bar : bars) {
    hints.push_back({bar.from.x_m, bar.from.y_m});
    hints.push_back({bar.to.x_m, bar.to.y_m});
    hints.push_back(detail::nearest_on(bar, ground));
  }
  return hints;
}

Estimate times_v(const Estimate& share_ratio, double metal_v) {
  return scaled(share_ratio, metal_v, share_ratio.basis);
}

Estimate difference_v(const Estimate& one, const Estimate& other, double metal_v) {
  const double value_v = metal_v * std::abs(one.value - other.value);
  const double off_v = 0.5 * metal_v * (one.greatest - one.least + other.greatest - other.least);
  return {value_v, std::max(0.0, value_v - off_v), std::min(metal_v, value_v + off_v), one.basis};
}

void judge_feet(const SeparationCase& given, const Solved& solved, Transfer& result) {
  const detail::Standing ground(*given.parking);
  const detail::Extremes found =
      detail::extremes_on(ground, hints_of(solved.bars(), ground),
                          [&](std::span<const SurfacePlace> places) { return solved.shares(places); });
  result.most_at_feet = {found.greatest.place, solved.estimate(found.greatest.value)};
  result.least_at_feet = {found.least.place, solved.estimate(found.least.value)};
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
  const Solved solved(given);
  Transfer result;
  result.status = solved.field().status();
  result.remark = solved.field().remark();
  if (given.electrode) {
    result.nearest_m = solved.nearest_m();
    result.electrode_share_ratio = solved.estimate(solved.electrode_share());
    result.electrode_v = times_v(*result.electrode_share_ratio, given.metal_v);
  }
  if (given.parking) judge_feet(given, solved, result);
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
