// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/fit_quality.hpp>
#include <ohmroot/sounding/interpretation.hpp>

#include <vector>

namespace ohmroot::sounding::detail {

/// Uniform soil: the weighted mean of ln(apparent resistivity), which is the exact least-squares answer.
[[nodiscard]] SoilFit fit_uniform(const std::vector<FitDatum>& data);

/// Two layers by Levenberg-Marquardt from several starts; intervals from the profile of chi-square.
/// Searched are resistivities from 1/300 of the least to 300 times the greatest apparent resistivity, and
/// thicknesses from 1/20 of the least to 5 times the greatest spacing: beyond, no reading sees anything.
[[nodiscard]] SoilFit fit_two_layers(const std::vector<FitDatum>& data, const InterpretationOptions& options);

}  // namespace ohmroot::sounding::detail
