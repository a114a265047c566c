// SPDX-License-Identifier: MIT
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

namespace ohmroot {

/// A caller broke the documented precondition of a calculation: names argument, value, unit and rule.
/// Thrown by the calculation modules only; readers of text collect Diagnostics instead (diagnostic.hpp).
class DomainError : public std::domain_error {
public:
  DomainError(std::string_view argument, double value, std::string_view unit, std::string_view rule);
  DomainError(std::string_view argument, std::string_view found, std::string_view rule);
  [[nodiscard]] const std::string& argument() const noexcept { return argument_; }

private:
  std::string argument_;
};

/// A broken promise of the library itself: a defect to report, never the user's fault.
class InternalError : public std::logic_error {
public:
  using std::logic_error::logic_error;
};

/// Precondition checks, written so that NaN and infinity are refused. Each throws DomainError.
void require_positive(std::string_view argument, double value, std::string_view unit);
void require_not_negative(std::string_view argument, double value, std::string_view unit);
void require_finite(std::string_view argument, double value, std::string_view unit);

/// value must lie in [least, greatest], ends included.
struct Range {
  double least;
  double greatest;
};
void require_within(std::string_view argument, double value, std::string_view unit, Range allowed);

}  // namespace ohmroot
