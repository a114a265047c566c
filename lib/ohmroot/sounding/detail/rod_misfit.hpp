// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <vector>

namespace ohmroot::sounding::detail {

/// ln of what each driven rod reads over what it would in a soil (quick_rod_resistances_ohm), over its stated error; an
/// over-range reading says nothing where the model is above it.
[[nodiscard]] std::vector<double> rod_residuals(const std::vector<DrivenRodReading>& rods,
                                                const earth::LayeredSoil& soil);

/// Their robust squares summed.
[[nodiscard]] double rod_misfit(const std::vector<DrivenRodReading>& rods, const earth::LayeredSoil& soil);

/// Throws DomainError unless each has a positive resistance, a stated error of 1e-6 to 1, and a rod and stakes that
/// modelled_rod_resistance() takes.
void require_valid(const std::vector<DrivenRodReading>& rods);

}  // namespace ohmroot::sounding::detail
