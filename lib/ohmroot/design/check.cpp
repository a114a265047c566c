// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/design/check.hpp>
#include <ohmroot/design/detail/in_ground.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::design {
namespace {

/// Least requirement that these values pass: met in so many draws that the lower limit of their share is high enough.
double provable_ohm(std::vector<double> ohm, double confidence_ratio) {
  auto met =
      static_cast<std::size_t>(confidence_ratio * static_cast<double>(ohm.size()));  // too few, if only just
  while (lower_limit_ratio({met, ohm.size()}) < confidence_ratio)
    if (++met > ohm.size()) return std::numeric_limits<double>::infinity();
  const auto place = ohm.begin() + static_cast<std::ptrdiff_t>(met - 1);
  std::nth_element(ohm.begin(), place, ohm.end());
  return *place;
}

}  // namespace

Check check_of(const Question& question, const Arrangement& arrangement) {
  Check check;
  check.worst_season_ohm.resize(question.draws.size());
  for_each_index(question.draws.size(), [&](std::size_t i) {
    check.worst_season_ohm[i] = detail::worst_season_ohm(arrangement, question.parts, question.draws[i]) +
                                question.goal.conductor_ohm;
  });
  check.met_count =
      static_cast<std::size_t>(std::count_if(check.worst_season_ohm.begin(), check.worst_season_ohm.end(),
                                             [&](double ohm) { return ohm <= question.goal.required_ohm; }));
  const auto count = static_cast<double>(question.draws.size());
  const double share_ratio = static_cast<double>(check.met_count) / count;
  check.standard_error_ratio = std::sqrt(share_ratio * (1 - share_ratio) / count);
  check.lower_limit_ratio = lower_limit_ratio({check.met_count, question.draws.size()});
  check.value_ohm = value_at_share(check.worst_season_ohm, question.goal.confidence_ratio);
  check.provable_ohm = provable_ohm(check.worst_season_ohm, question.goal.confidence_ratio);
  check.is_passed = check.lower_limit_ratio >= question.goal.confidence_ratio;
  return check;
}

}  // namespace ohmroot::design
