// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::study {

/// Equally likely soils of a site: draws of what readings allow; of stated layers and of a word for the soil, resistivities
/// even in the logarithm between their ends; of one rod's reading, the soils that reproduce it. Same seed, same soils.
/// Throws DomainError for a site without soil.
[[nodiscard]] std::vector<earth::LayeredSoil> soil_draws(const Site& site, const SoilPicture& picture,
                                                         std::size_t count);

}  // namespace ohmroot::study
