// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <random>
#include <vector>

namespace ohmroot::study::detail {

/// Evenly spread in the logarithm. [unit of the ends]
[[nodiscard]] double drawn(std::mt19937_64& engine, double least, double greatest);

/// As soil_draws(), with random numbers of a sequence that goes on.
[[nodiscard]] std::vector<earth::LayeredSoil> drawn_soils(std::mt19937_64& engine, const Site& site,
                                                          const SoilPicture& picture, std::size_t count);

}  // namespace ohmroot::study::detail
