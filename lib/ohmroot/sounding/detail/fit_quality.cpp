// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/fit_quality.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/students_t.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::sounding::detail {
namespace {

constexpr double believed_probability = 0.95;

int parameter_count(const SoilFit& fit) {
  return 2 * fit.layer_count - 1;
}

/// Akaike's criterion with known errors; the small-sample term is left out where it has no value.
double corrected_aic(double chi_square, double parameters, double readings) {
  const double spare = readings - parameters - 1.0;
  const double small_sample = spare > 0.0 ? 2.0 * parameters * (parameters + 1.0) / spare : 0.0;
  return chi_square + 2.0 * parameters + small_sample;
}

/// Factor on every standard deviation so that the intervals are as wide as the scatter asks for.
double inflation(const SoilFit& fit) {
  if (fit.freedom_count < 1) return 1.0;
  const double scatter = std::sqrt(fit.chi_square_ratio / fit.freedom_count);
  if (are_stated_errors_believed(fit)) return std::max(1.0, scatter);
  const boost::math::students_t estimated_scatter(fit.freedom_count);
  return scatter * boost::math::quantile(estimated_scatter, 0.95) / std::sqrt(central_rise_ratio);
}

}  // namespace

bool are_stated_errors_believed(const SoilFit& fit) {
  if (fit.freedom_count < 1) return true;
  const boost::math::chi_squared expected(fit.freedom_count);
  return fit.chi_square_ratio <= boost::math::quantile(expected, believed_probability);
}

void judge(SoilFit& fit, double chi_square) {
  double sum_of_squares = 0.0;
  for (const double residual : fit.residual_ratio)
    sum_of_squares += residual * residual;
  for (const double residual : fit.rod_residual_ratio)
    sum_of_squares += residual * residual;
  const std::size_t reading_count = fit.residual_ratio.size() + fit.rod_residual_ratio.size();
  const auto count = static_cast<double>(reading_count);
  fit.misfit_ratio = std::sqrt(sum_of_squares / count);
  fit.chi_square_ratio = chi_square;
  fit.freedom_count = static_cast<int>(reading_count) - parameter_count(fit);
  fit.corrected_aic_ratio = corrected_aic(chi_square, parameter_count(fit), count);
  fit.error_inflation_ratio = inflation(fit);
}

double allowed_rise_ratio(const SoilFit& fit) {
  return central_rise_ratio * fit.error_inflation_ratio * fit.error_inflation_ratio;
}

}  // namespace ohmroot::sounding::detail
