// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/level_fit.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::acceptance::detail {
namespace {

/// Standard deviation of the factor on a soil's shortfall: its near-surface resistivity on the day.
constexpr double scale_error_ratio = 0.15;
constexpr double chi_square_tail_ratio = 1e-3;
constexpr double central_90_deviations = 1.6448536269514722;

/// Least squares in one soil, the factor k integrated out: covariance of the readings is diag(error^2) +
/// scale^2 d d', inverted by the formula of Sherman and Morrison.
struct SoilFit {
  double level_ohm;
  double variance_ohm2;
  double chi_square;
  double ln_likelihood;
  double scale_ratio;
};

SoilFit fit_in_soil(const LevelData& data, const std::vector<double>& shortfall_ohm) {
  double sum_11 = 0.0, sum_1d = 0.0, sum_dd = 0.0, sum_1z = 0.0, sum_dz = 0.0, sum_zz = 0.0, ln_det = 0.0;
  for (std::size_t i = 0; i < data.reading_ohm.size(); ++i) {
    const double weight = 1.0 / (data.error_ohm[i] * data.error_ohm[i]);
    const double d = shortfall_ohm[i];
    const double z = data.reading_ohm[i] + d;
    sum_11 += weight;
    sum_1d += weight * d;
    sum_dd += weight * d * d;
    sum_1z += weight * z;
    sum_dz += weight * d * z;
    sum_zz += weight * z * z;
    ln_det -= std::log(weight);
  }
  const double s2 = scale_error_ratio * scale_error_ratio;
  const double shrink = s2 / (1.0 + s2 * sum_dd);
  const auto product = [&](double ab, double ad, double bd) { return ab - shrink * ad * bd; };
  const double one_one = product(sum_11, sum_1d, sum_1d);
  const double one_z = product(sum_1z, sum_1d, sum_dz);
  const double z_z = product(sum_zz, sum_dz, sum_dz);
  const double level_ohm = one_z / one_one;
  const double chi_square = std::max(0.0, z_z - level_ohm * one_z);
  ln_det += std::log1p(s2 * sum_dd);
  const double residual_d = sum_dz - level_ohm * sum_1d;  // z - level, against d
  return {level_ohm, 1.0 / one_one, chi_square, -0.5 * (chi_square + ln_det + std::log(one_one)),
          1.0 - shrink * residual_d};
}

double normal_below(double deviations) {
  return 0.5 * std::erfc(-deviations / std::numbers::sqrt2);
}

}  // namespace

LevelFit fit_level(const LevelData& data) {
  std::vector<SoilFit> fits;
  for (const std::vector<double>& shortfall_ohm : data.shortfall_ohm)
    fits.push_back(fit_in_soil(data, shortfall_ohm));
  const auto best = std::min_element(fits.begin(), fits.end(), [](const SoilFit& a, const SoilFit& b) {
    return a.chi_square < b.chi_square;
  });
  const std::size_t freedom_count = data.reading_ohm.size() - 1;
  // scatter beyond the stated errors: they are taken as too small by a common factor
  const double inflation =
      freedom_count == 0 ? 1.0 : std::max(1.0, best->chi_square / static_cast<double>(freedom_count));
  double greatest_ln = fits.front().ln_likelihood;
  for (const SoilFit& fit : fits)
    greatest_ln = std::max(greatest_ln, fit.ln_likelihood);
  struct Part {
    double weight, level_ohm, deviation_ohm;
  };
  std::vector<Part> parts;
  double weight_sum = 0.0;
  for (const SoilFit& fit : fits) {
    const double weight = std::exp((fit.ln_likelihood - greatest_ln) / inflation);
    parts.push_back(
        {weight, fit.level_ohm,
         std::hypot(std::sqrt(fit.variance_ohm2 * inflation), data.shared_error_ratio * fit.level_ohm)});
    weight_sum += weight;
  }
  double low_ohm = parts.front().level_ohm;
  double high_ohm = low_ohm;
  for (const Part& part : parts) {
    low_ohm = std::min(low_ohm, part.level_ohm - 6.0 * part.deviation_ohm);
    high_ohm = std::max(high_ohm, part.level_ohm + 6.0 * part.deviation_ohm);
  }
  const auto quantile_ohm = [&](double share) {
    const auto excess = [&](double value_ohm) {
      double below = 0.0;
      for (const Part& part : parts)
        below += part.weight * normal_below((value_ohm - part.level_ohm) / part.deviation_ohm);
      return below / weight_sum - share;
    };
    std::uintmax_t most_steps = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(
        excess, low_ohm, high_ohm, boost::math::tools::eps_tolerance<double>(40), most_steps);
    return 0.5 * (low + high);
  };
  LevelFit fit{};
  fit.resistance_ohm = {quantile_ohm(0.5), quantile_ohm(0.05), quantile_ohm(0.95), {}};
  fit.relative_error_ratio = (fit.resistance_ohm.greatest - fit.resistance_ohm.least) /
                             (2.0 * central_90_deviations * fit.resistance_ohm.value);
  fit.best_soil = static_cast<std::size_t>(best - fits.begin());
  fit.best_level_ohm = best->level_ohm;
  fit.best_scale_ratio = best->scale_ratio;
  fit.chi_square_ratio = best->chi_square;
  fit.freedom_count = freedom_count;
  return fit;
}

LevelData without(const LevelData& data, std::size_t reading) {
  LevelData rest = data;
  const auto at = static_cast<std::ptrdiff_t>(reading);
  rest.reading_ohm.erase(rest.reading_ohm.begin() + at);
  rest.error_ohm.erase(rest.error_ohm.begin() + at);
  for (std::vector<double>& shortfall_ohm : rest.shortfall_ohm)
    shortfall_ohm.erase(shortfall_ohm.begin() + at);
  return rest;
}

double greatest_chi_square_ratio(std::size_t freedom_count) {
  const boost::math::chi_squared spread(static_cast<double>(freedom_count));
  return boost::math::quantile(boost::math::complement(spread, chi_square_tail_ratio));
}

}  // namespace ohmroot::acceptance::detail
