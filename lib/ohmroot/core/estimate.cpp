// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>

#include <cmath>

namespace ohmroot {

Estimate scaled(const Estimate& estimate, double factor_ratio, std::string basis) {
  require_positive("factor_ratio", factor_ratio, "");
  return {estimate.value * factor_ratio, estimate.least * factor_ratio, estimate.greatest * factor_ratio,
          std::move(basis)};
}

double end_ratio_of(double relative_error_ratio) {
  constexpr double normal_95 = 1.6448536269514722;  // 95 % point of the normal distribution
  return std::exp(normal_95 * relative_error_ratio);
}

}  // namespace ohmroot
