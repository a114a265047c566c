// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/curve_judgement.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::acceptance::detail {
namespace {

Estimate spread_of(std::vector<double> values, std::string basis) {
  std::sort(values.begin(), values.end());
  return {quantile(values, 0.5), quantile(values, 0.05), quantile(values, 0.95), std::move(basis)};
}

double rule_error_ratio(const StakeModel& model, double current_distance_m) {
  const double place_m = electrode::small_electrode_position_ratio() * current_distance_m;
  return -model.shortfall_ohm({current_distance_m, place_m, 0.0}) / model.resistance_ohm();
}

/// Where the reading is the resistance, nearest to 61.8 %.
std::optional<double> correct_position_ratio(const StakeModel& model, double current_distance_m) {
  constexpr int step_count = 30;
  const auto shortfall_ohm = [&](double share) {
    return model.shortfall_ohm({current_distance_m, share * current_distance_m, 0.0});
  };
  const double rule = electrode::small_electrode_position_ratio();
  std::optional<double> nearest;
  double from = 0.05;
  double before_ohm = shortfall_ohm(from);
  for (int i = 1; i <= step_count; ++i) {
    const double to = 0.05 + 0.93 * i / step_count;
    const double here_ohm = shortfall_ohm(to);
    if (before_ohm * here_ohm <= 0.0 && before_ohm != here_ohm) {
      std::uintmax_t most_steps = 60;
      const auto [low, high] =
          boost::math::tools::toms748_solve(shortfall_ohm, from, to, before_ohm, here_ohm,
                                            boost::math::tools::eps_tolerance<double>(16), most_steps);
      const double root = 0.5 * (low + high);
      if (!nearest || std::abs(root - rule) < std::abs(*nearest - rule)) nearest = root;
    }
    from = to;
    before_ohm = here_ohm;
  }
  return nearest;
}

std::string percent(double ratio) {
  return format_signed_percent(ratio);
}

std::string rule_sentence(const CurveJudgement& judged) {
  const std::string error =
      fmt::format("over the soils of the site the reading there is off by {} to {}",
                  percent(judged.rule_error_ratio.least), percent(judged.rule_error_ratio.greatest));
  std::string sentence =
      judged.does_rule_hold
          ? fmt::format("Current stake at {}: the 61.8 % rule holds ({}).",
                        format_given(judged.curve.current_distance_m, Dimension::length), error)
          : fmt::format("Current stake at {}: the 61.8 % rule does not hold ({}).",
                        format_given(judged.curve.current_distance_m, Dimension::length), error);
  if (judged.correct_position_ratio.value > 0.0) {
    sentence +=
        fmt::format(" The potential stake reads right at {} % of the distance ({} to {} %), by the field "
                    "solution of this electrode.",
                    format_number(100.0 * judged.correct_position_ratio.value, 3),
                    format_number(100.0 * judged.correct_position_ratio.least, 3),
                    format_number(100.0 * judged.correct_position_ratio.greatest, 3));
  } else {
    sentence += " In most of these soils no place on this line reads right.";
  }
  return sentence;
}

}  // namespace

CurveJudgement judge_curve(const std::vector<StakeModel>& models, const StraightCurve& curve) {
  CurveJudgement judged;
  judged.curve = curve;
  judged.flat = flat_part(curve, rule_tolerance_ratio);
  judged.at_61_8_percent_ohm = reading_at_61_8_percent(curve);
  judged.slope = slope_method(curve);
  if (judged.flat && judged.slope && !judged.slope->resistance_ohm)
    judged.slope->refusal = "slope method: the curve has a flat part, and what slope there is left is noise";
  std::vector<double> errors;
  std::vector<double> positions;
  for (const StakeModel& model : models) {
    errors.push_back(rule_error_ratio(model, curve.current_distance_m));
    if (const auto position = correct_position_ratio(model, curve.current_distance_m))
      positions.push_back(*position);
  }
  judged.rule_error_ratio =
      spread_of(std::move(errors), "field solution in the soils of the site, 5 to 95 %");
  if (2 * positions.size() > models.size())
    judged.correct_position_ratio =
        spread_of(std::move(positions), "field solution in the soils of the site, 5 to 95 %");
  judged.does_rule_hold = judged.rule_error_ratio.least >= -rule_tolerance_ratio &&
                          judged.rule_error_ratio.greatest <= rule_tolerance_ratio;
  judged.rule_sentence = rule_sentence(judged);
  return judged;
}

std::optional<double> needed_distance_m(const std::vector<StakeModel>& models) {
  constexpr double farthest_m = 500.0;
  constexpr double nearest_m = 3.0;
  constexpr double step_ratio = 1.1;
  const auto is_met = [&](double distance_m) {
    const auto within = std::count_if(models.begin(), models.end(), [&](const StakeModel& model) {
      return std::abs(rule_error_ratio(model, distance_m)) <= rule_tolerance_ratio;
    });
    return 2 * static_cast<std::size_t>(within) >= models.size();
  };
  std::optional<double> needed;
  for (double distance_m = farthest_m; distance_m >= nearest_m && is_met(distance_m);
       distance_m /= step_ratio)
    needed = distance_m;
  return needed;
}

}  // namespace ohmroot::acceptance::detail
