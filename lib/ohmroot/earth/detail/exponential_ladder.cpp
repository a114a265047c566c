// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/exponential_ladder.hpp>

#include <Eigen/Dense>

#include <cmath>
#include <map>
#include <mutex>
#include <utility>

namespace ohmroot::earth::detail {
namespace {

/// Closer rungs fit better and hang together more: 1.3 can be solved once for all, 1.22 only function by function.
struct Spacing {
  double rung_ratio;
  int samples_per_rung;
};
constexpr Spacing spacing_of(LadderKind kind) {
  return kind == LadderKind::quick ? Spacing{1.3, 2} : Spacing{1.22, 3};
}

constexpr double highest_exponent = 14.0;  // wavenumber times least shift: exp(-14) is not seen
constexpr double lowest_exponent = 0.02;   // wavenumber times greatest shift
constexpr double static_weight = 10.0;     // the static limit rules the far field
constexpr int count_step = 4;              // so that few matrices are ever formed

int sample_count(int rungs, const Spacing& spacing) {
  const double step = std::log(spacing.rung_ratio);
  const double range = std::log(highest_exponent / lowest_exponent) + (rungs - 1) * step;
  return static_cast<int>(std::ceil(range * spacing.samples_per_rung / step)) + 1;
}

/// Of sample i, for a least shift of one.
double sample_wavenumber(int i, const Spacing& spacing) {
  return highest_exponent * std::pow(spacing.rung_ratio, -static_cast<double>(i) / spacing.samples_per_rung);
}

Eigen::MatrixXd make_exponentials(int rungs, const Spacing& spacing) {
  const int samples = sample_count(rungs, spacing);
  Eigen::MatrixXd exponentials(samples + 1, rungs);
  for (int j = 0; j < rungs; ++j) {
    for (int i = 0; i < samples; ++i)
      exponentials(i, j) = std::exp(-sample_wavenumber(i, spacing) * std::pow(spacing.rung_ratio, j));
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
  Eigen::MatrixXd solver;  // of quick ladders only
};

Plan make_plan(int rungs, LadderKind kind) {
  const Spacing spacing = spacing_of(kind);
  Plan plan;
  for (int j = 0; j < rungs; ++j)
    plan.shifts.push_back(std::pow(spacing.rung_ratio, j));
  for (int i = 0; i < sample_count(rungs, spacing); ++i)
    plan.wavenumbers.push_back(sample_wavenumber(i, spacing));
  plan.wavenumbers.push_back(0.0);
  plan.exponentials = make_exponentials(rungs, spacing);
  if (kind == LadderKind::quick) plan.solver = make_solver(plan.exponentials);
  return plan;
}

const Plan& plan_for(int rungs, LadderKind kind) {
  static std::mutex guard;
  static std::map<std::pair<LadderKind, int>, Plan> plans;
  const std::lock_guard lock(guard);
  const auto found = plans.find({kind, rungs});
  return found != plans.end() ? found->second
                              : plans.emplace(std::pair(kind, rungs), make_plan(rungs, kind)).first->second;
}

}  // namespace

ExponentialLadder::ExponentialLadder(const LadderRange& range, LadderKind kind) {
  const double steps =
      std::log(range.greatest_shift_m / range.least_shift_m) / std::log(spacing_of(kind).rung_ratio);
  const Plan& plan =
      plan_for(count_step * static_cast<int>(std::ceil((std::ceil(steps) + 1.0) / count_step)), kind);
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
