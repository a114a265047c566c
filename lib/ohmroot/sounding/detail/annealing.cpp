// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/annealing.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kept_part = 0.6;  // effective points after a step of the power
constexpr int walks_between = 3;
constexpr int walks_at_end = 3;

struct Cloud {
  Eigen::MatrixXd points;
  VectorXd ln_prior;
  VectorXd misfit;
};

/// A density on the way: power * -S/2, and the part that is already the likelihood.
struct Stage {
  double power = 0.0;       // of exp(-S / 2)
  double likelihood = 0.0;  // 0 before, 1 at the end
  double reading_count = 1.0;

  [[nodiscard]] double ln_density(double misfit) const {
    return -0.5 * power * (1.0 - likelihood) * misfit + likelihood * ln_likelihood_of(misfit, reading_count);
  }
};

Cloud start_cloud(const Target& target, int count, Random& random) {
  Cloud cloud;
  cloud.ln_prior.resize(count);
  cloud.misfit.resize(count);
  for (Index i = 0; i < count; ++i) {
    const VectorXd point = target.draw_prior(random);
    if (i == 0) cloud.points.resize(point.size(), count);
    cloud.points.col(i) = point;
    cloud.ln_prior[i] = target.ln_prior(point);
    cloud.misfit[i] = target.misfit(point);
  }
  return cloud;
}

/// exp(step * ln gain), scaled so that the greatest is one.
VectorXd step_weights(const VectorXd& ln_gain, double step) {
  return (step * (ln_gain.array() - ln_gain.maxCoeff())).exp();
}

double effective_part(const VectorXd& weights) {
  return weights.sum() * weights.sum() / weights.squaredNorm() / static_cast<double>(weights.size());
}

/// Largest step that keeps enough points effective.
double next_step(const VectorXd& ln_gain, double rest) {
  if (effective_part(step_weights(ln_gain, rest)) >= kept_part) return rest;
  double least = 0.0;
  double greatest = rest;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (least + greatest);
    (effective_part(step_weights(ln_gain, middle)) >= kept_part ? least : greatest) = middle;
  }
  return greatest;  // never zero, so that there is always progress
}

/// Systematic resampling: each point is copied as often as its weight says, give or take one.
void resample(Cloud& cloud, const VectorXd& weights, Random& random) {
  const Index count = weights.size();
  const double spacing = weights.sum() / static_cast<double>(count);
  double mark = spacing * random.uniform();
  double sum = weights[0];
  std::vector<Index> chosen;
  for (Index i = 0, from = 0; i < count; ++i, mark += spacing) {
    while (sum < mark && from + 1 < count)
      sum += weights[++from];
    chosen.push_back(from);
  }
  cloud.points = cloud.points(Eigen::all, chosen).eval();
  cloud.ln_prior = cloud.ln_prior(chosen).eval();
  cloud.misfit = cloud.misfit(chosen).eval();
}

/// Random walks with the spread of the cloud itself; the length of the step follows the rate of acceptance.
class Walker {
public:
  Walker(const Target& target, Random& random) : target_(target), random_(random) {}

  void walk(Cloud& cloud, const Stage& stage, int times) {
    const VectorXd mean = cloud.points.rowwise().mean();
    const Eigen::MatrixXd off = cloud.points.colwise() - mean;
    Eigen::MatrixXd covariance = off * off.transpose() / static_cast<double>(cloud.points.cols());
    covariance.diagonal().array() += 1e-10;
    const Eigen::MatrixXd root = covariance.llt().matrixL();
    for (int time = 0; time < times; ++time) {
      int accepted_count = 0;
      for (Index i = 0; i < cloud.points.cols(); ++i)
        accepted_count += step(cloud, i, stage, root) ? 1 : 0;
      const double rate = static_cast<double>(accepted_count) / static_cast<double>(cloud.points.cols());
      constexpr double wanted_rate = 0.25;
      length_ = std::clamp(length_ * std::exp(2.0 * (rate - wanted_rate)), 0.02, 2.4);
    }
  }

private:
  bool step(Cloud& cloud, Index i, const Stage& stage, const Eigen::MatrixXd& root) {
    const VectorXd point = cloud.points.col(i) + shift(cloud, root);
    const double ln_chance = std::log(random_.uniform());
    const double ln_prior = target_.ln_prior(point);
    if (std::isinf(ln_prior)) return false;
    const double misfit = target_.misfit(point);
    const double gain =
        ln_prior - cloud.ln_prior[i] + stage.ln_density(misfit) - stage.ln_density(cloud.misfit[i]);
    if (ln_chance > gain) return false;
    cloud.points.col(i) = point;
    cloud.ln_prior[i] = ln_prior;
    cloud.misfit[i] = misfit;
    return true;
  }

  /// Half of the steps follow the spread of the cloud, half the difference of two of its points (ter Braak,
  /// Statistics and Computing 16 (2006) 239, from memory): those fit bent shapes, and a whole difference leads
  /// from one mode to another.
  VectorXd shift(const Cloud& cloud, const Eigen::MatrixXd& root) {
    const auto size = static_cast<double>(root.rows());
    VectorXd noise(root.rows());
    for (double& value : noise)
      value = random_.normal();
    const double kind = random_.uniform();
    const double reach = random_.uniform() < 0.3 ? 0.2 * length_ : length_;  // short steps for narrow parts
    if (kind < 0.4) return reach / std::sqrt(size) * (root * noise);
    const VectorXd difference = cloud.points.col(any(cloud)) - cloud.points.col(any(cloud));
    const double whole = kind > 0.9 ? 1.0 : reach / std::sqrt(2.0 * size);
    return whole * difference + 0.01 * (root * noise);
  }

  Index any(const Cloud& cloud) {
    return std::min(static_cast<Index>(random_.uniform() * static_cast<double>(cloud.points.cols())),
                    cloud.points.cols() - 1);
  }

  const Target& target_;
  Random& random_;
  double length_ = 2.0;
};

}  // namespace

constexpr double precision_shape = 20.0;  // of the gamma distribution of the precision (judgement)

double error_factor_spread_ratio() {
  return 1.0 / std::sqrt(precision_shape);
}

double ln_likelihood_of(double misfit, double reading_count) {
  return -(precision_shape + 0.5 * reading_count) * std::log1p(misfit / (2.0 * precision_shape));
}

double Target::ln_posterior(const VectorXd& point) const {
  const double ln_of_prior = ln_prior(point);
  return std::isinf(ln_of_prior) ? ln_of_prior : ln_of_prior + ln_likelihood_of(misfit(point), reading_count);
}

Population anneal(const Target& target, int particle_count, Random& random) {
  Cloud cloud = start_cloud(target, particle_count, random);
  Walker walker(target, random);
  Population result;
  Stage stage;
  stage.reading_count = target.reading_count;
  const auto advance = [&](double& progress) {
    VectorXd ln_gain(particle_count);
    const bool is_first_way = &progress == &stage.power;
    for (Index i = 0; i < ln_gain.size(); ++i) {
      const double misfit = cloud.misfit[i];
      ln_gain[i] = is_first_way ? -0.5 * misfit
                                : ln_likelihood_of(misfit, target.reading_count) + 0.5 * stage.power * misfit;
    }
    const double step = next_step(ln_gain, 1.0 - progress);
    const VectorXd weights = step_weights(ln_gain, step);
    result.ln_evidence += step * ln_gain.maxCoeff() + std::log(weights.mean());
    progress = step == 1.0 - progress ? 1.0 : progress + step;
    resample(cloud, weights, random);
    walker.walk(cloud, stage, stage.likelihood < 1.0 ? walks_between : walks_at_end);
  };
  while (stage.power < 1.0)
    advance(stage.power);
  while (stage.likelihood < 1.0)
    advance(stage.likelihood);
  result.points = std::move(cloud.points);
  result.least_misfit = cloud.misfit.minCoeff();
  return result;
}

}  // namespace ohmroot::sounding::detail
