// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/question.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::design {

/// The field solution under every draw of the question.
struct Check {
  std::vector<double> worst_season_ohm;
  std::size_t met_count = 0;
  double lower_limit_ratio = 0.0;  ///< 95 % Clopper-Pearson, of the share of ground in which the goal is met
  double standard_error_ratio = 0.0;
  double value_ohm = 0.0;     ///< at the share asked for: the value to design to
  double provable_ohm = 0.0;  ///< least requirement that it passes; infinity: too few draws
  bool is_passed = false;
};

/// The field solution of one arrangement under all draws.
[[nodiscard]] Check check_of(const Question& question, const Arrangement& arrangement);

}  // namespace ohmroot::design
