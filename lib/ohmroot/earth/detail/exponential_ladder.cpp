// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/exponential_ladder.hpp>

#include <Eigen/Dense>

#include <cmath>
#include <map>
#include <mutex>

namespace ohmroot::earth::detail {
namespace {

constexpr double rung_ratio = 1.3;
constexpr int samples_per_rung = 2;
constexpr double highest_exponent = 14.0;  // wavenumber times least shift: exp(-14) is not seen
constexpr double lowest_exponent = 0.02;   // wavenumber times greatest shift
constexpr double static_weight = 10.0;     // the static limit rules the far field
constexpr int count_step = 4;              // so that few matrices are ever formed

int sample_count(int rungs) {
  const double decades = std::log(highest_exponent / lowest_exponent) + (rungs - 1) * std::log(rung_ratio);
  return static_cast<int>(std::ceil(decades * samples_per_rung / std::log(rung_ratio))) + 1;
}

/// Of sample i, for a least shift of one.
double sample_wavenumber(int i) {
  return highest_exponent * std::pow(rung_ratio, -static_cast<double>(i) / samples_per_rung);
}

Eigen::MatrixXd make_solver(int rungs) {
  const int samples = sample_count(rungs);
  Eigen::MatrixXd exponentials(samples + 1, rungs);
  for (int j = 0; j < rungs; ++j) {
    for (int i = 0; i < samples; ++i)
      exponentials(i, j) = std::exp(-sample_wavenumber(i) * std::pow(rung_ratio, j));
    exponentials(samples, j) = static_weight;
  }
  Eigen::MatrixXd targets = Eigen::MatrixXd::Identity(samples + 1, samples + 1);
  targets(samples, samples) = static_weight;
  return exponentials.colPivHouseholderQr().solve(targets);
}

const Eigen::MatrixXd& solver(int rungs) {
  static std::mutex guard;
  static std::map<int, Eigen::MatrixXd> solvers;
  const std::lock_guard lock(guard);
  const auto [found, is_new] = solvers.try_emplace(rungs);
  if (is_new) found->second = make_solver(rungs);
  return found->second;
}

}  // namespace

ExponentialLadder::ExponentialLadder(const LadderRange& range) {
  const double steps = std::log(range.greatest_shift_m / range.least_shift_m) / std::log(rung_ratio);
  const int rungs = count_step * static_cast<int>(std::ceil((std::ceil(steps) + 1.0) / count_step));
  for (int j = 0; j < rungs; ++j)
    shifts_m_.push_back(range.least_shift_m * std::pow(rung_ratio, j));
  for (int i = 0; i < sample_count(rungs); ++i)
    wavenumbers_per_m_.push_back(sample_wavenumber(i) / range.least_shift_m);
  wavenumbers_per_m_.push_back(0.0);
}

std::vector<double> ExponentialLadder::fit(const std::vector<double>& values) const {
  const Eigen::MatrixXd& matrix = solver(static_cast<int>(shifts_m_.size()));
  std::vector<double> weights(shifts_m_.size());
  Eigen::Map<Eigen::VectorXd>(weights.data(), matrix.rows()).noalias() =
      matrix * Eigen::Map<const Eigen::VectorXd>(values.data(), matrix.cols());
  return weights;
}

}  // namespace ohmroot::earth::detail
