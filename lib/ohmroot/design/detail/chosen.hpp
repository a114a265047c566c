// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/detail/comparison.hpp>

#include <cstddef>
#include <optional>
#include <vector>

namespace ohmroot::design::detail {

/// How designs are taken to their check.
struct Taking {
  double aim_ohm;
  std::size_t most_checked;
};

/// The first in their order that passes its check, and the last check made.
struct Chosen {
  std::optional<Design> best;
  std::optional<Check> check;
  std::optional<Design> failed;  ///< the last that did not pass
  std::size_t untestable_count = 0;
};

/// Those that can be tested before those that cannot. by_cost: cheapest first.
[[nodiscard]] Chosen tested_first(const std::vector<Design>& by_cost, const Question& question,
                                  const SearchOptions& options, const Comparison& comparison,
                                  const Taking& taking);

}  // namespace ohmroot::design::detail
