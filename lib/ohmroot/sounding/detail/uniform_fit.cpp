// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/fits.hpp>

#include <cmath>

namespace ohmroot::sounding::detail {

SoilFit fit_uniform(const std::vector<FitDatum>& data) {
  double weight_sum = 0.0;
  double weighted_sum = 0.0;
  for (const FitDatum& datum : data) {
    const double weight = 1.0 / (datum.ln_error * datum.ln_error);
    weight_sum += weight;
    weighted_sum += weight * datum.ln_apparent;
  }
  const double mean = weighted_sum / weight_sum;

  SoilFit fit;
  fit.layer_count = 1;
  for (const FitDatum& datum : data)
    fit.residual_ratio.push_back(datum.ln_apparent - mean);
  judge(fit, data);
  const double half_width = std::sqrt(allowed_rise_ratio(fit) / weight_sum);
  fit.resistivity_ohm_m.push_back({.value = std::exp(mean),
                                   .least = std::exp(mean - half_width),
                                   .greatest = std::exp(mean + half_width)});
  return fit;
}

}  // namespace ohmroot::sounding::detail
