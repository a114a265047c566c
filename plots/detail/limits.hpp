// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <plots/detail/script.hpp>
#include <string>
#include <vector>

namespace ohmroot::plots::detail {

/// A required resistance that has a value.
struct Limit {
  std::string name;  ///< "strictest"
  double resistance_ohm;
};

/// The strictest and the most lenient one, once if they are the same.
[[nodiscard]] std::vector<Limit> limits_of(const study::StudyResult& result);

/// Upright lines in a figure whose abscissa is a resistance: their data, over the whole vertical axis, and the lines
/// of the plot command, each of which goes on after it.
void limit_data(Script& script, const std::vector<Limit>& limits, const Axis& upright);
void plot_limits(Script& script, const std::vector<Limit>& limits);

}  // namespace ohmroot::plots::detail
