// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>

#include <cmath>

namespace ohmroot {

double quantile(std::span<const double> ascending, double ratio) {
  if (ascending.empty()) throw DomainError("ascending", "empty", "at least one value");
  if (!(ratio >= 0 && ratio <= 1)) throw DomainError("ratio", ratio, "", "from 0 to 1");
  const double place = ratio * static_cast<double>(ascending.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = below + 1 < ascending.size() ? below + 1 : below;
  return std::lerp(ascending[below], ascending[above], place - static_cast<double>(below));
}

}  // namespace ohmroot
