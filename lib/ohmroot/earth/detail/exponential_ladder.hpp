// SPDX-License-Identifier: MIT
#pragma once

#include <Eigen/Dense>

#include <vector>

namespace ohmroot::earth::detail {

/// Sums of decaying exponentials  w_0 + sum w_j exp(-lambda b_j)  on a fixed geometric ladder of shifts b_j.
///
/// A function of the layers is one of ln lambda whose spectrum dies away like that of the exponential itself
/// (Gamma(i omega), that is exp(-pi omega / 2)). Rungs at equal steps of ln b therefore catch it to about
/// exp(-pi^2 / (2 ln ratio)) whatever contrasts and thicknesses are, and the weights stay of order one. The
/// rungs do not depend on the function, so that the least-squares solution is one matrix for each number of
/// rungs, formed once in the life of a program, and a fit is a product of a matrix and a vector.
/// The idea of a few images for layered soil: Chow, Yang, Srivastava, J. Appl. Phys. 71 (1992) 569; the
/// ladder and its error: derived here.
struct LadderRange {
  double least_shift_m;
  double greatest_shift_m;  ///< reached or passed
};

/// quick: a fit is one product of matrices. fine: closer rungs and more samples, good to 1e-7 or better, by a
/// least-squares solution of its own for each fit.
enum class LadderKind { quick, fine };

class ExponentialLadder {
public:
  explicit ExponentialLadder(const LadderRange& range, LadderKind kind = LadderKind::quick);

  /// Rungs, without the shift 0. [m]
  [[nodiscard]] const std::vector<double>& shifts_m() const noexcept { return shifts_m_; }

  /// Wavenumbers at which fit() wants the function; the last one is 0. [1/m]
  [[nodiscard]] const std::vector<double>& wavenumbers_per_m() const noexcept { return wavenumbers_per_m_; }

  /// Weights of the rungs of a quick ladder for values of functions, one a column, less their limits for great
  /// wavenumbers.
  [[nodiscard]] Eigen::MatrixXd fit(const Eigen::MatrixXd& values) const { return *solver_ * values; }

  /// The same with a weight for each wavenumber, for any ladder: where the function is small, errors can so be kept
  /// small too.
  [[nodiscard]] Eigen::MatrixXd fit_weighted(const Eigen::MatrixXd& values,
                                             const Eigen::VectorXd& weights) const;

private:
  const Eigen::MatrixXd* exponentials_;  // as solver_
  const Eigen::MatrixXd* solver_;        // lives as long as the program
  std::vector<double> shifts_m_;
  std::vector<double> wavenumbers_per_m_;
};

}  // namespace ohmroot::earth::detail
