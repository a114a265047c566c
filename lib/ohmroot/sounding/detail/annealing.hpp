// SPDX-License-Identifier: MIT
#pragma once

#include <Eigen/Dense>
#include <boost/random/normal_distribution.hpp>
#include <boost/random/uniform_01.hpp>

#include <cstdint>
#include <functional>
#include <random>

namespace ohmroot::sounding::detail {

/// Random numbers that are the same wherever the program runs.
class Random {
public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  [[nodiscard]] double uniform() { return boost::random::uniform_01<double>()(engine_); }
  [[nodiscard]] double normal() { return normal_(engine_); }

private:
  std::mt19937_64 engine_;
  boost::random::normal_distribution<double> normal_;
};

/// What is sampled: a prior, and a misfit S, a sum over readings of squared residuals in units of their errors.
struct Target {
  std::function<Eigen::VectorXd(Random&)> draw_prior;
  std::function<double(const Eigen::VectorXd&)> ln_prior;  ///< -infinity outside
  std::function<double(const Eigen::VectorXd&)> misfit;    ///< finite inside
  double reading_count = 1.0;                              // unit: none
  struct Residuals {
    Eigen::VectorXd values;  ///< in units of their errors
    Eigen::MatrixXd slopes;  ///< by parameter, a column each
  };
  std::function<Residuals(const Eigen::VectorXd&)> residuals = {};  ///< asked for by kernel_near() only

  /// Prior times likelihood, without the likelihood's constant; -infinity outside.
  [[nodiscard]] double ln_posterior(const Eigen::VectorXd& point) const;
};

/// ln of the likelihood of a misfit where the errors are known only up to a common factor, the precision gamma
/// distributed about 1 with shape b: (1 + S / 2b)^-(b + n/2). The stated errors are believed; what they cannot explain
/// has widened them before. Lacks a constant that is the same for all models of the same readings.
[[nodiscard]] double error_factor_spread_ratio();  ///< relative standard deviation of that precision
[[nodiscard]] double ln_likelihood_of(double misfit, double reading_count);

/// Equally weighted points, one a column, and the ln of the mean likelihood over the prior.
struct Population {
  Eigen::MatrixXd points;
  double ln_evidence = 0.0;
  double least_misfit = 0.0;  ///< of those points
};

/// Sequential Monte Carlo, by steps that keep the effective number of points above a set part, with resampling and
/// random walks in between: from the prior to exp(-S / 2) by raising its power, then to the likelihood above. The
/// detour is needed: the power of the likelihood itself drops into the posterior all at once.
[[nodiscard]] Population anneal(const Target& target, int particle_count, Random& random);

}  // namespace ohmroot::sounding::detail
