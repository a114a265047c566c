// SPDX-License-Identifier: MIT
#pragma once

#include <string>

namespace ohmroot {

/// A computed quantity with its interval and the ground it stands on. The unit is that of the field that
/// holds it (resistance_ohm.value is in ohm). The interval is the central 90 % (5-95 %) unless basis says
/// otherwise; least <= value <= greatest.
struct Estimate {
  double value = 0.0;     // unit: that of the owning field
  double least = 0.0;     // unit: that of the owning field
  double greatest = 0.0;  // unit: that of the owning field
  std::string basis;      ///< formula and clause, or method, in words
};

/// An exactly known value: an interval of no width.
[[nodiscard]] inline Estimate exactly(double value, std::string basis) {
  return {value, value, value, std::move(basis)};
}

/// The estimate times a positive constant (a conversion or a geometry factor).
[[nodiscard]] Estimate scaled(const Estimate& estimate, double factor_ratio, std::string basis);

/// Factor from the middle to either end of the central 90 % of a value whose logarithm has this standard deviation,
/// normally distributed: exp(1.645 times it).
[[nodiscard]] double end_ratio_of(double relative_error_ratio);

}  // namespace ohmroot
