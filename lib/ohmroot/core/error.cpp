// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>

#include <fmt/format.h>

#include <cmath>

namespace ohmroot {

DomainError::DomainError(std::string_view argument, double value, std::string_view unit,
                         std::string_view rule)
    : std::domain_error(
          fmt::format("{} must be {}, is {}{}{}", argument, rule, value, unit.empty() ? "" : " ", unit)),
      argument_(argument) {}

DomainError::DomainError(std::string_view argument, std::string_view found, std::string_view rule)
    : std::domain_error(fmt::format("{} must be {}, is {}", argument, rule, found)), argument_(argument) {}

void require_positive(std::string_view argument, double value, std::string_view unit) {
  if (!(value > 0.0 && std::isfinite(value))) {
    throw DomainError(argument, value, unit, "greater than 0 and finite");
  }
}

void require_not_negative(std::string_view argument, double value, std::string_view unit) {
  if (!(value >= 0.0 && std::isfinite(value))) {
    throw DomainError(argument, value, unit, "at least 0 and finite");
  }
}

void require_finite(std::string_view argument, double value, std::string_view unit) {
  if (!std::isfinite(value)) throw DomainError(argument, value, unit, "finite");
}

void require_within(std::string_view argument, double value, std::string_view unit, Range allowed) {
  if (!(value >= allowed.least && value <= allowed.greatest)) {
    throw DomainError(argument, value, unit, fmt::format("from {} to {}", allowed.least, allowed.greatest));
  }
}

}  // namespace ohmroot
