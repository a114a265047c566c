// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/search.hpp>

#include <vector>

namespace ohmroot::design::detail {

/// The least cost among designs already judged, whose value may be at most aim_ohm, when the soil's resistivity, the requirement or one price moves by a
/// tenth either way: the three inputs that move it most.
[[nodiscard]] std::vector<Sensitivity> sensitivities(const Question& question,
                                                     const std::vector<Design>& judged, double aim_ohm);

}  // namespace ohmroot::design::detail
