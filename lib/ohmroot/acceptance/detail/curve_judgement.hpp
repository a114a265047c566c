// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/detail/stake_model.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>

#include <vector>

namespace ohmroot::acceptance::detail {

/// Error that is tolerated of the 61.8 % rule and within a flat part: common practice, no source.
inline constexpr double rule_tolerance_ratio = 0.05;

[[nodiscard]] CurveJudgement judge_curve(const std::vector<StakeModel>& models, const StraightCurve& curve);

/// Least distance of the current stake from which on the 61.8 % rule is within its tolerance in half of the soils;
/// none if not within 500 m. [m]
[[nodiscard]] std::optional<double> needed_distance_m(const std::vector<StakeModel>& models);

}  // namespace ohmroot::acceptance::detail
