// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/annealing.hpp>

#include <Eigen/Dense>

#include <vector>

namespace ohmroot::sounding::detail {

/// A density about one point: Student's t, as wide in each direction as the target is there.
struct Kernel {
  Eigen::VectorXd centre;
  Eigen::MatrixXd precision_root;  ///< upper triangle U; the precision is U^T U
  double share_ratio = 1.0;        ///< among the kernels of a mixture
};

/// A kernel near a point: where the readings resolve parameters, as narrow as they do (Gauss and Newton, at most
/// turn_count steps towards the readings), elsewhere as narrow as the precision given.
[[nodiscard]] Kernel kernel_near(const Target& target, const Eigen::VectorXd& point,
                                 const Eigen::MatrixXd& least_precision, int turn_count);

/// Of points, none of its directions quite without spread.
[[nodiscard]] Eigen::MatrixXd covariance_of(const std::vector<Eigen::VectorXd>& points);

/// A mixture of kernels, from which points are drawn and by which they are weighed.
class KernelMixture {
public:
  KernelMixture() = default;
  /// At least one kernel, shares positive; they are scaled to sum to one.
  explicit KernelMixture(std::vector<Kernel> kernels);

  [[nodiscard]] Eigen::VectorXd draw(Random& random) const;
  [[nodiscard]] double ln_density(const Eigen::VectorXd& point) const;
  /// By how much each kernel explains a point; they sum to one.
  [[nodiscard]] Eigen::VectorXd explained_ratio(const Eigen::VectorXd& point) const;
  [[nodiscard]] const std::vector<Kernel>& kernels() const { return kernels_; }

private:
  [[nodiscard]] Eigen::ArrayXd densities(const Eigen::VectorXd& point) const;

  std::vector<Kernel> kernels_;
  std::vector<double> share_sums_;        // up to each kernel
  std::vector<Eigen::MatrixXd> spreads_;  // inverse of the precision's root
  Eigen::MatrixXd roots_;                 // one below the other
  Eigen::VectorXd offsets_;               // root times centre
  Eigen::ArrayXd heights_;                // over the greatest of them
  double ln_greatest_height_ = 0.0;
  int doubling_count_ = 3;  // Student's t falls like a distance to the power -2^(this + 1)
  double freedom_ = 1.0;
};

}  // namespace ohmroot::sounding::detail
