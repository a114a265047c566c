// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/evidence/detail/given.hpp>

namespace ohmroot::evidence::detail {

/// The soil under 'layers': tables of resistivity_ohm_m and thickness_m from the top, the last one without
/// thickness.
[[nodiscard]] earth::LayeredSoil soil_in(const Given& given);

}  // namespace ohmroot::evidence::detail
