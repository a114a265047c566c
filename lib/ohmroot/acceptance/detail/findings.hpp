// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/detail/level_fit.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>

#include <vector>

namespace ohmroot::acceptance::detail {

/// Median and relative spread of what the soils predict.
struct Prediction {
  Estimate resistance_ohm;
  double deviation_ratio;  ///< standard deviation of ln R
};

/// Findings that need no model: safe working, stakes, stray voltage, repeats, too few readings, season.
[[nodiscard]] std::vector<Finding> plain_findings(const StakeTest& test, const Criterion& criterion);

/// Level of the readings against the prediction: still connected, higher, prediction too wide.
[[nodiscard]] std::vector<Finding> level_findings(const LevelFit& fit, const Prediction& prediction);

/// Overlapping resistance areas: no curve with a flat part, and the current stake nearer than needed.
[[nodiscard]] std::vector<Finding> overlap_findings(const TestResult& result);

/// "60 m": a distance to walk to, rounded up to 5 m.
[[nodiscard]] std::string next_distance(double needed_m);

}  // namespace ohmroot::acceptance::detail
