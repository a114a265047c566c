// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/detail/words.hpp>

#include <fmt/format.h>

#include <cmath>
#include <string_view>

namespace ohmroot::report::detail {

std::string interval_words(const Ends& ends, Dimension dimension) {
  const bool has_least = ends.is_least_resolved && std::isfinite(ends.least);
  const bool has_greatest = ends.is_greatest_resolved && std::isfinite(ends.greatest);
  if (!has_least && !has_greatest) return "neither end resolved";
  if (!has_greatest) return format_quantity(ends.least, dimension) + " or more (no upper end resolved)";
  if (!has_least) return format_quantity(ends.greatest, dimension) + " or less (no lower end resolved)";
  return fmt::format("{} to {}", format_quantity(ends.least, dimension),
                     format_quantity(ends.greatest, dimension));
}

std::string ohms(double value_ohm) {
  return std::isfinite(value_ohm) ? format_quantity(value_ohm, Dimension::resistance) : "not resolved";
}

std::string interval_ohms(const Estimate& estimate) {
  return interval_words({estimate.least, estimate.greatest}, Dimension::resistance);
}

std::string percent(double ratio, int significant_figures) {
  return format_number(100 * ratio, significant_figures) + " %";
}

std::string_view outcome_words(supply::RequirementOutcome outcome) {
  switch (outcome) {
  case supply::RequirementOutcome::limited:
    return "limited";
  case supply::RequirementOutcome::none_needed:
    return "no electrode needed";
  case supply::RequirementOutcome::none_suffices:
    return "no resistance is low enough";
  case supply::RequirementOutcome::not_covered:
    return "not decided";
  }
  throw InternalError("a requirement outcome without words");
}

std::string requirement_words(const supply::Requirement& requirement) {
  if (requirement.outcome == supply::RequirementOutcome::limited)
    return ohms(requirement.resistance_ohm) + " or less";
  return std::string(outcome_words(requirement.outcome));
}

std::string_view fit_status_words(sounding::FitStatus status) {
  switch (status) {
  case sounding::FitStatus::converged:
    return "converged";
  case sounding::FitStatus::stalled:
    return "stalled";
  case sounding::FitStatus::too_few_readings:
    return "too few readings";
  }
  throw InternalError("a fit status without words");
}

std::string sentence(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  constexpr std::string_view ends = ".!?";
  if (!text.empty() && ends.find(text.back()) == std::string_view::npos) text += '.';
  return text;
}

}  // namespace ohmroot::report::detail
