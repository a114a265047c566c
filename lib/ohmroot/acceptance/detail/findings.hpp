// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/detail/prediction.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>

#include <vector>

namespace ohmroot::acceptance::detail {

[[nodiscard]] std::vector<Finding> safe_findings(const SafeWorking& answers);

/// Findings that need no model: stakes, stray voltage, repeats, too few readings, season.
[[nodiscard]] std::vector<Finding> plain_findings(const StakeTest& test, const Criterion& criterion);

/// A resistance as tested, and the standard deviation of its logarithm.
struct MeasuredLevel {
  double resistance_ohm;
  double deviation_ratio;
};

/// Level of the readings against the prediction: still connected, higher.
[[nodiscard]] std::vector<Finding> level_findings(const MeasuredLevel& measured,
                                                  const Prediction& prediction);

/// On what it rests that the reading is the electrode's and not the network's. Whether a reading can show it is a
/// matter of the prediction alone, so this is said of every test and is no finding against one.
[[nodiscard]] std::string separation_words(const Prediction& prediction, Answer separated);

/// Overlapping resistance areas: no curve with a flat part, and the current stake nearer than needed.
[[nodiscard]] std::vector<Finding> overlap_findings(const TestResult& result);

/// "60 m": a distance to walk to, rounded up to 5 m.
[[nodiscard]] std::string next_distance(double needed_m);

}  // namespace ohmroot::acceptance::detail
