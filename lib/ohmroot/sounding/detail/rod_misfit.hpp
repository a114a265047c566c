// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>
#include <vector>

namespace ohmroot::sounding::detail {

/// Robust squares of what driven rods read in a soil against the field solution of the rod in its layers, summed. Nothing
/// where the soil is too extreme for that solution.
[[nodiscard]] std::optional<double> rod_misfit(const std::vector<DrivenRodReading>& rods,
                                               const earth::LayeredSoil& soil);

/// Throws DomainError unless each has a positive resistance, a stated error of 1e-6 to 1, and a rod and stakes that
/// modelled_rod_resistance() takes.
void require_valid(const std::vector<DrivenRodReading>& rods);

}  // namespace ohmroot::sounding::detail
