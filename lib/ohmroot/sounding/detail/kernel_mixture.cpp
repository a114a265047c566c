// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/kernel_mixture.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double wider_ratio =
    1.1;  // than the target is thought to be: what it misses costs more than what it adds

/// Half the square that a Gauss-Newton step lowers, held near where it began.
double held_square(const VectorXd& residuals, const VectorXd& off, const MatrixXd& precision) {
  return residuals.squaredNorm() + off.dot(precision * off);
}

/// The step, shortened until it stays inside the prior; none if it cannot.
VectorXd step_inside(const Target& target, const VectorXd& from, const VectorXd& step) {
  for (const double part : {1.0, 0.5, 0.2}) {
    const VectorXd there = from + part * step;
    if (!std::isinf(target.ln_prior(there))) return there;
  }
  return from;
}

VectorXd normals(Index count, Random& random) {
  VectorXd values(count);
  for (double& value : values)
    value = random.normal();
  return values;
}

}  // namespace

Kernel kernel_near(const Target& target, const VectorXd& point, const MatrixXd& least_precision,
                   int turn_count) {
  VectorXd at = point;
  Target::Residuals here = target.residuals(at);
  for (int turn = 0; turn < turn_count; ++turn) {
    const VectorXd gradient = here.slopes.transpose() * here.values + least_precision * (at - point);
    const MatrixXd curvature = here.slopes.transpose() * here.slopes + least_precision;
    const VectorXd next = step_inside(target, at, -curvature.llt().solve(gradient));
    Target::Residuals there = target.residuals(next);
    if (!(held_square(there.values, next - point, least_precision) <
          held_square(here.values, at - point, least_precision)))
      break;
    at = next;
    here = std::move(there);
  }
  MatrixXd precision = least_precision;
  if (here.slopes.allFinite()) precision += here.slopes.transpose() * here.slopes;
  return {at, MatrixXd(precision.llt().matrixU()) / wider_ratio};
}

MatrixXd covariance_of(const std::vector<VectorXd>& points) {
  constexpr double least_variance = 3e-3;  // of a logarithm
  MatrixXd off(points.front().size(), static_cast<Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i)
    off.col(static_cast<Index>(i)) = points[i];
  off.colwise() -= off.rowwise().mean().eval();
  MatrixXd covariance = off * off.transpose() / static_cast<double>(points.size());
  covariance.diagonal().array() += least_variance;
  return covariance;
}

KernelMixture::KernelMixture(std::vector<Kernel> kernels) : kernels_(std::move(kernels)) {
  const Index dimension = kernels_.front().centre.size();
  const auto count = static_cast<Index>(kernels_.size());
  const auto d = static_cast<double>(dimension);
  constexpr double least_freedom = 4.0;
  // (1 + q / freedom)^-(freedom + d)/2 with a power of two as exponent is a few multiplications.
  while (std::exp2(doubling_count_ + 1) - d < least_freedom)
    ++doubling_count_;
  freedom_ = std::exp2(doubling_count_ + 1) - d;
  const double ln_constant = std::lgamma(0.5 * (freedom_ + d)) - std::lgamma(0.5 * freedom_) -
                             0.5 * d * std::log(std::numbers::pi * freedom_);
  double sum = 0.0;
  for (const Kernel& kernel : kernels_)
    sum += kernel.share_ratio;
  roots_.resize(count * dimension, dimension);
  offsets_.resize(count * dimension);
  Eigen::ArrayXd ln_heights(count);
  double reached = 0.0;
  for (Index i = 0; i < count; ++i) {
    Kernel& kernel = kernels_[static_cast<std::size_t>(i)];
    kernel.share_ratio /= sum;
    share_sums_.push_back(reached += kernel.share_ratio);
    spreads_.emplace_back(kernel.precision_root.inverse());
    roots_.middleRows(i * dimension, dimension) = kernel.precision_root;
    offsets_.segment(i * dimension, dimension) = kernel.precision_root * kernel.centre;
    ln_heights[i] = ln_constant + std::log(kernel.share_ratio) +
                    kernel.precision_root.diagonal().array().abs().log().sum();
  }
  ln_greatest_height_ = ln_heights.maxCoeff();
  heights_ = (ln_heights - ln_greatest_height_).exp();
}

VectorXd KernelMixture::draw(Random& random) const {
  const auto found = std::upper_bound(share_sums_.begin(), share_sums_.end(), random.uniform());
  const auto last = static_cast<std::ptrdiff_t>(kernels_.size()) - 1;
  const auto which = static_cast<std::size_t>(std::min(found - share_sums_.begin(), last));
  const double chi_square = normals(static_cast<Index>(freedom_), random).squaredNorm();
  const VectorXd off = normals(kernels_[which].centre.size(), random);
  return kernels_[which].centre + spreads_[which] * off * std::sqrt(freedom_ / chi_square);
}

Eigen::ArrayXd KernelMixture::densities(const VectorXd& point) const {
  const VectorXd off = roots_ * point - offsets_;
  const Eigen::Map<const MatrixXd> by_kernel(off.data(), point.size(), heights_.size());
  Eigen::ArrayXd fall = 1.0 + by_kernel.colwise().squaredNorm().transpose().array() / freedom_;
  for (int i = 0; i < doubling_count_; ++i)
    fall = fall.square();
  return heights_ / fall;
}

double KernelMixture::ln_density(const VectorXd& point) const {
  return ln_greatest_height_ + std::log(densities(point).sum());
}

VectorXd KernelMixture::explained_ratio(const VectorXd& point) const {
  const Eigen::ArrayXd all = densities(point);
  return (all / all.sum()).matrix();
}

}  // namespace ohmroot::sounding::detail
