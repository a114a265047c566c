// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <string>
#include <string_view>

namespace ohmroot::report::detail {

/// An interval whose ends may be missing.
struct Ends {
  double least;     // unit: that of the dimension it is printed with
  double greatest;  // unit: that of the dimension it is printed with
  bool is_least_resolved = true;
  bool is_greatest_resolved = true;
};

/// "14.6 to 70.5 ohm", "14.6 ohm or more (no upper end resolved)".
[[nodiscard]] std::string interval_words(const Ends& ends, Dimension dimension);

[[nodiscard]] std::string ohms(double value_ohm);
[[nodiscard]] std::string interval_ohms(const Estimate& estimate);
[[nodiscard]] std::string percent(double ratio, int significant_figures = 3);

/// "1.39 ohm or less", "no electrode needed", "no resistance is low enough", "not decided".
[[nodiscard]] std::string requirement_words(const supply::Requirement& requirement);

/// The outcome alone: "limited", "no electrode needed", ...
[[nodiscard]] std::string_view outcome_words(supply::RequirementOutcome outcome);

[[nodiscard]] std::string_view fit_status_words(sounding::FitStatus status);

/// The text with a capital at its front and a full stop at its end: what comes in may lack both.
[[nodiscard]] std::string sentence(std::string text);

}  // namespace ohmroot::report::detail
