// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/soils.hpp>

#include <boost/math/distributions/beta.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::design {

double lower_limit_ratio(const ShareSeen& seen, double confidence_ratio) {
  require_within("confidence_ratio", confidence_ratio, "", {0.5, 0.9999});
  if (seen.count == 0 || seen.met > seen.count)
    throw DomainError("seen.met", static_cast<double>(seen.met), "", "at most seen.count, which is above 0");
  if (seen.met == 0) return 0.0;
  const auto met = static_cast<double>(seen.met);
  const auto missed = static_cast<double>(seen.count - seen.met);
  return boost::math::quantile(boost::math::beta_distribution<double>(met, missed + 1), 1 - confidence_ratio);
}

double value_at_share(std::vector<double> values, double share_ratio) {
  require_within("share_ratio", share_ratio, "", {0, 1});
  if (values.empty()) throw DomainError("values", "none", "at least one value");
  constexpr double rounding = 1e-9;  // 0.95 of 200 is the 190th, not the 191st
  const auto rank = static_cast<std::size_t>(
      std::max(1.0, std::ceil(share_ratio * static_cast<double>(values.size()) - rounding)));
  const auto place = values.begin() + static_cast<std::ptrdiff_t>(rank - 1);
  std::nth_element(values.begin(), place, values.end());
  return *place;
}

}  // namespace ohmroot::design
