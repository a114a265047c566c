// SPDX-License-Identifier: MIT
#pragma once

#include <span>

namespace ohmroot {

/// Quantile of a sample in ascending order, linear between its values: 0 is the least, 1 the greatest.
/// Throws DomainError for an empty sample and for a ratio outside 0 to 1.
/// Source: definition 7 of Hyndman and Fan, The American Statistician 50 (1996) 361.
[[nodiscard]] double quantile(std::span<const double> ascending, double ratio);  // unit: that of the sample

}  // namespace ohmroot
