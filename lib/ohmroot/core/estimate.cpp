// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>

namespace ohmroot {

Estimate scaled(const Estimate& estimate, double factor_ratio, std::string basis) {
  require_positive("factor_ratio", factor_ratio, "");
  return {estimate.value * factor_ratio, estimate.least * factor_ratio, estimate.greatest * factor_ratio,
          std::move(basis)};
}

}  // namespace ohmroot
