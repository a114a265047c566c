// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/detail/worst_case.hpp>

#include <string>

namespace ohmroot::supply::detail {

[[nodiscard]] std::string volts(double value_v);
[[nodiscard]] std::string amperes(double value_a);
[[nodiscard]] std::string ohms(double value_ohm);

/// The requirement as a hand would work it, with the numbers put in.
[[nodiscard]] std::string worked_expression(const Worst& worst, double limit_v);

/// What makes it the worst case.
[[nodiscard]] std::string case_sentence(const RequirementQuestion& question, const Requirement& requirement,
                                        const Worst& worst);

}  // namespace ohmroot::supply::detail
