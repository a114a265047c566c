// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/evidence/check.hpp>
#include <ohmroot/text/value.hpp>

#include <string>

namespace ohmroot::evidence::detail {

struct Difference {
  bool is_within_tolerance = false;
  double greatest_ratio = 0.0;
  std::string why;  ///< if the two cannot be compared at all
};

/// The values and the rule by which they are held together.
struct Comparands {
  const text::Value& expected;
  const text::Value& computed;
  double tolerance_ratio;
  Comparison comparison;
};

[[nodiscard]] Difference difference_of(const Comparands& values);

}  // namespace ohmroot::evidence::detail
