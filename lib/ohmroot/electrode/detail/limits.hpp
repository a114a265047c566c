// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/error.hpp>

#include <string_view>

namespace ohmroot::electrode::detail {

/// Far outside anything that is built, and far inside what the squares of a double can hold.
constexpr Range length_limits_m{1e-6, 1e6};

/// Sums over pairs of rods stay under a second.
constexpr int most_rods = 4000;
constexpr int most_rods_per_side = most_rods / 4;
constexpr int most_meshes_per_side = 40;

inline void require_length(std::string_view argument, double value_m) {
  require_positive(argument, value_m, "m");
  require_within(argument, value_m, "m", length_limits_m);
}

}  // namespace ohmroot::electrode::detail
