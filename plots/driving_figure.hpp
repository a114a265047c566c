// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/driving.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <plots/figure.hpp>
#include <vector>

namespace ohmroot::plots {

/// Readings of a rod against its depth, and the forecast from the last of them on: 5 to 95 % band, middle, target.
[[nodiscard]] FigureScript driving_figure(const acceptance::DriveForecast& forecast,
                                          const std::vector<sounding::DrivenRodReading>& readings,
                                          double target_ohm);

}  // namespace ohmroot::plots
