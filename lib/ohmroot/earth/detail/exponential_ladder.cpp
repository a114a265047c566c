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

Eigen::MatrixXd make_exponentials(int rungs) {
  const int samples = sample_count(rungs);
  Eigen::MatrixXd exponentials(samples + 1, rungs);
  for (int j = 0; j < rungs; ++j) {
    for (int i = 0; i < samples; ++i)
      exponentials(i, j) = std::exp(-sample_wavenumber(i) * std::pow(rung_ratio, j));
    exponentials(samples, j) = static_weight;
  }
  return exponentials;
}

Eigen::MatrixXd make_solver(const Eigen::MatrixXd& exponentials) {
  Eigen::MatrixXd targets = Eigen::MatrixXd::Identity(exponentials.rows(), exponentials.rows());
  targets(targets.rows() - 1, targets.cols() - 1) = static_weight;
  return exponentials.colPivHouseholderQr().solve(targets);
}

/// All that does not depend on the soil, for a least shift of one.
struct Plan {
  std::vector<double> shifts;
  std::vector<double> wavenumbers;
  Eigen::MatrixXd exponentials;
  Eigen::MatrixXd solver;
};

Plan make_plan(int rungs) {
  Plan plan;
  for (int j = 0; j < rungs; ++j)
    plan.shifts.push_back(std::pow(rung_ratio, j));
  for (int i = 0; i < sample_count(rungs); ++i)
    plan.wavenumbers.push_back(sample_wavenumber(i));
  plan.wavenumbers.push_back(0.0);
  plan.exponentials = make_exponentials(rungs);
  plan.solver = make_solver(plan.exponentials);
  return plan;
}

const Plan& plan_for(int rungs) {
  static std::mutex guard;
  static std::map<int, Plan> plans;
  const std::lock_guard lock(guard);
  const auto found = plans.find(rungs);
  return found != plans.end() ? found->second : plans.emplace(rungs, make_plan(rungs)).first->second;
}

}  // namespace

ExponentialLadder::ExponentialLadder(const LadderRange& range) {
  const double steps = std::log(range.greatest_shift_m / range.least_shift_m) / std::log(rung_ratio);
  const Plan& plan =
      plan_for(count_step * static_cast<int>(std::ceil((std::ceil(steps) + 1.0) / count_step)));
  exponentials_ = &plan.exponentials;
  solver_ = &plan.solver;
  shifts_m_ = plan.shifts;
  for (double& shift_m : shifts_m_)
    shift_m *= range.least_shift_m;
  wavenumbers_per_m_ = plan.wavenumbers;
  for (double& wavenumber_per_m : wavenumbers_per_m_)
    wavenumber_per_m /= range.least_shift_m;
}

Eigen::MatrixXd ExponentialLadder::fit_weighted(const Eigen::MatrixXd& values,
                                                const Eigen::VectorXd& weights) const {
  Eigen::MatrixXd targets = values;
  targets.bottomRows(1) *= static_weight;
  return (weights.asDiagonal() * *exponentials_).colPivHouseholderQr().solve(weights.asDiagonal() * targets);
}

}  // namespace ohmroot::earth::detail
