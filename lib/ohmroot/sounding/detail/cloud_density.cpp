// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/cloud_density.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int freedom = 5;  // of Student's t

/// Least mean square error for a normal cloud (Silverman, Density Estimation, 1986, section 4.3.2; from memory).
double kernel_width(Index dimension, Index count) {
  const auto d = static_cast<double>(dimension);
  return std::pow(4.0 / ((d + 2.0) * static_cast<double>(count)), 1.0 / (d + 4.0));
}

MatrixXd spread_root(const MatrixXd& points) {
  const VectorXd mean = points.rowwise().mean();
  const MatrixXd off = points.colwise() - mean;
  MatrixXd covariance = off * off.transpose() / static_cast<double>(points.cols());
  covariance.diagonal().array() += 1e-10;
  return covariance.llt().matrixL();
}

VectorXd normals(Index count, Random& random) {
  VectorXd values(count);
  for (double& value : values)
    value = random.normal();
  return values;
}

}  // namespace

CloudDensity::CloudDensity(const MatrixXd& centres)
    : width_ratio_(kernel_width(centres.rows(), centres.cols())), root_(width_ratio_ * spread_root(centres)),
      scaled_centres_(root_.triangularView<Eigen::Lower>().solve(centres)) {
  const auto d = static_cast<double>(centres.rows());
  ln_height_ = std::lgamma(0.5 * (freedom + d)) - std::lgamma(0.5 * freedom) -
               0.5 * d * std::log(std::numbers::pi * freedom) - root_.diagonal().array().log().sum() -
               std::log(static_cast<double>(centres.cols()));
}

Index CloudDensity::any(Random& random) const {
  const Index count = scaled_centres_.cols();
  return std::min(static_cast<Index>(random.uniform() * static_cast<double>(count)), count - 1);
}

VectorXd CloudDensity::draw(Random& random) const {
  const Index centre = any(random);
  const double chi_square = normals(freedom, random).squaredNorm();
  const VectorXd off = normals(scaled_centres_.rows(), random) / std::sqrt(chi_square / freedom);
  return root_.triangularView<Eigen::Lower>() * (scaled_centres_.col(centre) + off);
}

double CloudDensity::ln_density(const VectorXd& point) const {
  const VectorXd scaled = root_.triangularView<Eigen::Lower>().solve(point);
  const double exponent = -0.5 * (freedom + static_cast<double>(point.size()));
  const Eigen::ArrayXd distances = (scaled_centres_.colwise() - scaled).colwise().squaredNorm().transpose();
  return ln_height_ + std::log((exponent * (1.0 + distances / freedom).log()).exp().sum());
}

VectorXd CloudDensity::step(Random& random) const {
  const Index dimension = scaled_centres_.rows();
  const double reach =
      2.0 / std::sqrt(static_cast<double>(dimension)) * (random.uniform() < 0.5 ? 1.0 : 0.25);
  VectorXd scaled;
  if (random.uniform() < 0.5) {
    scaled = reach / width_ratio_ * normals(dimension, random);
  } else {
    const VectorXd difference = scaled_centres_.col(any(random)) - scaled_centres_.col(any(random));
    scaled = reach / std::numbers::sqrt2 * difference + 0.01 / width_ratio_ * normals(dimension, random);
  }
  return root_.triangularView<Eigen::Lower>() * scaled;
}

}  // namespace ohmroot::sounding::detail
