// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/annealing.hpp>

#include <Eigen/Dense>

namespace ohmroot::sounding::detail {

/// A density of heavy tails around the points of a cloud: Student's t of one spread about each, all alike. Also the
/// steps of a walk in a cloud of that shape.
class CloudDensity {
public:
  /// centres: a point a column, at least two.
  explicit CloudDensity(const Eigen::MatrixXd& centres);

  [[nodiscard]] Eigen::VectorXd draw(Random& random) const;
  [[nodiscard]] double ln_density(const Eigen::VectorXd& point) const;
  /// Of the spread of the whole cloud, or from one of its points to another: as likely as its opposite.
  [[nodiscard]] Eigen::VectorXd step(Random& random) const;

private:
  [[nodiscard]] Eigen::Index any(Random& random) const;

  double width_ratio_;              // of a kernel, of the cloud's
  Eigen::MatrixXd root_;            // lower triangle: from numbers without spread to a kernel's
  Eigen::MatrixXd scaled_centres_;  // in units of the kernel
  double ln_height_;                // of one kernel over the number of them
};

}  // namespace ohmroot::sounding::detail
