// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// What no new electrode inside land and depth can beat, in each soil that the data allow. Nothing without land
/// or soil.
[[nodiscard]] std::optional<FloorResult> floor_on_land(const Site& site, const SoilPicture& soil,
                                                       double most_lenient_ohm);

}  // namespace ohmroot::study::detail
