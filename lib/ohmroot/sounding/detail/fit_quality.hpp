// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::sounding::detail {

/// One reading as the fit sees it: its geometry, ln of its apparent resistivity, one standard deviation.
struct FitDatum {
  FourPoleReading reading;
  double ln_apparent;  // unit: ln of ohm m
  double ln_error;     // unit: of ln, equal to the relative error
  std::size_t traverse = 0;
};

/// All that a fit must explain.
struct FitData {
  std::vector<FitDatum> readings;  ///< over-range ones last
  std::vector<DrivenRodReading> rods = {};
};

/// Rise of chi-square that ends the central 90 % of a profile: 1.645 squared, one parameter.
inline constexpr double central_rise_ratio = 2.7055434540954146;

/// Fills misfit, chi-square, freedom, criterion and inflation from the residuals of readings and rods, layer_count and the
/// least of the objective.
void judge(SoilFit& fit, double chi_square);

/// The stated errors are believed unless chi-square exceeds its 95 % point. If they are not, the scatter is
/// taken from the readings themselves, and Student's t stands in the place of the normal distribution.
[[nodiscard]] bool are_stated_errors_believed(const SoilFit& fit);

/// Rise of chi-square above its least at which the 90 % interval of a parameter ends.
[[nodiscard]] double allowed_rise_ratio(const SoilFit& fit);

}  // namespace ohmroot::sounding::detail
