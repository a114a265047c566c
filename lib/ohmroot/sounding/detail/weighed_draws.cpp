// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/sounding/detail/kernel_mixture.hpp>
#include <ohmroot/sounding/detail/weighed_draws.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double none = -std::numeric_limits<double>::infinity();
constexpr std::size_t part_count = 4;  // scouts, and parts of the draws
constexpr int points_per_dimension = 8;
constexpr int kernels_per_dimension = 60;  // of a pooled mixture; those with the least shares are left out
constexpr double held_ratio =
    2.0;  // precision of a kernel over that of all points, where the readings say nothing

struct Batch {
  std::vector<VectorXd> points;
  std::vector<double> ln_weights;  // -infinity outside the prior
};

Batch batch_of(const Target& target, const KernelMixture& mixture, int count, Random& random) {
  Batch batch;
  for (int i = 0; i < count; ++i) {
    batch.points.push_back(mixture.draw(random));
    const double ln_target = target.ln_posterior(batch.points.back());
    const double ln_weight =
        std::isinf(ln_target) ? none : ln_target - mixture.ln_density(batch.points.back());
    batch.ln_weights.push_back(std::isfinite(ln_weight) ? ln_weight : none);
  }
  return batch;
}

double greatest_ln_weight(const Batch& batch) {
  return *std::max_element(batch.ln_weights.begin(), batch.ln_weights.end());
}

/// Sums over exp(ln weight - scale).
struct Sums {
  double count = 0.0;
  double weights = 0.0;
  double squares = 0.0;

  void add(const Batch& batch, double ln_scale) {
    for (const double ln_weight : batch.ln_weights) {
      const double weight = std::exp(ln_weight - ln_scale);
      weights += weight;
      squares += weight * weight;
    }
    count += static_cast<double>(batch.ln_weights.size());
  }
  [[nodiscard]] double mean() const { return weights / count; }
  [[nodiscard]] double efficiency_ratio() const { return weights * weights / squares / count; }
};

/// So many points at equal steps of the weights to a power: below one, so that a few do not take all.
std::vector<VectorXd> resampled(const Batch& batch, int count, double power) {
  const double ln_scale = greatest_ln_weight(batch);
  if (std::isinf(ln_scale)) return {};
  std::vector<double> weights;
  double whole = 0.0;
  for (const double ln_weight : batch.ln_weights)
    whole += weights.emplace_back(std::exp(power * (ln_weight - ln_scale)));
  std::vector<VectorXd> points;
  double reached = 0.0;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    reached += weights[i] * count;
    while (static_cast<int>(points.size()) < count &&
           (static_cast<double>(points.size()) + 0.5) * whole < reached)
      points.push_back(batch.points[i]);
  }
  return points;
}

/// What one scout knows of one number of layers.
struct Cover {
  std::vector<Kernel> kernels;
  std::vector<VectorXd> points;  // about equally likely
  double ln_evidence = none;
};

/// Half of the old kernels' shares follow what they explain of the draws; the rest they keep, lest one be lost that only
/// this batch did not hit.
void share_out(std::vector<Kernel>& kernels, const KernelMixture& mixture, const Batch& batch, double whole) {
  constexpr double tempering = 0.5;
  constexpr double kept_ratio = 0.3;
  const double ln_scale = greatest_ln_weight(batch);
  VectorXd explained = VectorXd::Zero(static_cast<Index>(kernels.size()));
  for (std::size_t i = 0; i < batch.points.size(); ++i) {
    const double weight = std::exp(tempering * (batch.ln_weights[i] - ln_scale));
    if (weight > 0.0) explained += weight * mixture.explained_ratio(batch.points[i]);
  }
  explained /= explained.sum();
  const double even = 1.0 / static_cast<double>(kernels.size());
  for (std::size_t i = 0; i < kernels.size(); ++i)
    kernels[i].share_ratio =
        whole * ((1.0 - kept_ratio) * explained[static_cast<Index>(i)] + kept_ratio * even);
}

void add_kernels(std::vector<Kernel>& kernels, const Target& target, const std::vector<VectorXd>& points,
                 const Eigen::MatrixXd& least_precision, int turn_count, double whole) {
  for (const VectorXd& point : points) {
    kernels.push_back(kernel_near(target, point, least_precision, turn_count));
    kernels.back().share_ratio = whole / static_cast<double>(points.size());
  }
}

Cover covered(const Target& target, const std::vector<VectorXd>& starts, Random& random) {
  constexpr int greatest_round_count = 3;
  constexpr double good_efficiency = 0.4;
  constexpr double old_whole = 0.4;  // of the kernels before, once there are new ones
  constexpr int rough_turn_count = 3;
  constexpr double rough_power = 0.3;
  const int wanted_count = points_per_dimension * static_cast<int>(starts.front().size());
  Cover cover;
  add_kernels(cover.kernels, target, starts, covariance_of(starts).inverse(), rough_turn_count, 1.0);
  for (int round = 1;; ++round) {
    const KernelMixture mixture(cover.kernels);
    const Batch batch = batch_of(target, mixture, 8 * wanted_count, random);
    const double ln_scale = greatest_ln_weight(batch);
    std::vector<VectorXd> points = resampled(batch, wanted_count, round == 1 ? rough_power : 1.0);
    if (points.empty()) break;
    cover.points = std::move(points);
    Sums sums;
    sums.add(batch, ln_scale);
    cover.ln_evidence = ln_scale + std::log(sums.mean());
    if (round == greatest_round_count || sums.efficiency_ratio() > good_efficiency) break;
    share_out(cover.kernels, mixture, batch, old_whole);
    add_kernels(cover.kernels, target, cover.points, held_ratio * covariance_of(cover.points).inverse(), 1,
                1.0 - old_whole);
  }
  if (cover.points.empty()) cover.points = starts;
  return cover;
}

std::vector<VectorXd> annealed(const Target& target, Random& random) {
  constexpr int particle_count = 50;
  const Eigen::MatrixXd points = anneal(target, particle_count, random).points;
  return {points.colwise().begin(), points.colwise().end()};
}

/// One cover for each number of layers.
std::vector<Cover> scouted(const std::vector<SoilModel>& models, Random& random) {
  constexpr std::size_t annealed_count = 2;
  std::vector<Cover> covers;
  for (const SoilModel& model : models) {
    const Target target = model.target();
    std::vector<VectorXd> starts;
    if (covers.size() < annealed_count) {
      starts = annealed(target, random);
    } else {
      const std::vector<VectorXd>& fewer = covers.back().points;
      const auto count = static_cast<std::size_t>(2 * points_per_dimension * (fewer.front().size() + 2));
      for (std::size_t i = 0; i < count; ++i)
        starts.push_back(model.split(fewer[i % fewer.size()], random));
    }
    covers.push_back(covered(target, starts, random));
  }
  return covers;
}

/// Kernels of all scouts, those of a scout that found more evidence with more of the shares.
KernelMixture pooled(const std::vector<std::vector<Cover>>& scouts, std::size_t model) {
  double greatest = none;
  for (const auto& covers : scouts)
    greatest = std::max(greatest, covers[model].ln_evidence);
  double sum = 0.0;
  const auto evidence = [&](const Cover& cover) {
    return std::isinf(greatest) ? 0.0 : std::exp(cover.ln_evidence - greatest);
  };
  for (const auto& covers : scouts)
    sum += evidence(covers[model]);
  std::vector<Kernel> kernels;
  for (const auto& covers : scouts) {
    const double share = 1.0 / part_count + (sum > 0.0 ? evidence(covers[model]) / sum : 0.0);
    for (Kernel kernel : covers[model].kernels) {
      kernel.share_ratio *= share;
      kernels.push_back(std::move(kernel));
    }
  }
  const auto most = static_cast<std::size_t>(kernels_per_dimension * kernels.front().centre.size());
  std::stable_sort(kernels.begin(), kernels.end(),
                   [](const Kernel& a, const Kernel& b) { return a.share_ratio > b.share_ratio; });
  if (kernels.size() > most) kernels.resize(most);
  return KernelMixture(std::move(kernels));
}

/// Mixtures and what was drawn from them last.
class Sampler {
public:
  Sampler(const std::vector<SoilModel>& models, const WeighingOptions& options)
      : models_(models), options_(options), counts_(models.size(), first_count), parts_(models.size()) {
    std::vector<std::vector<Cover>> scouts(part_count);
    for_each_index(part_count, [&](std::size_t i) {
      Random random = random_of(i);
      scouts[i] = scouted(models, random);
    });
    for (std::size_t k = 0; k < models.size(); ++k)
      mixtures_.push_back(pooled(scouts, k));
  }

  /// Rounds of draws.
  void run() {
    constexpr int greatest_round_count = 6;
    constexpr double wanted_count = 2'000.0;
    const double wanted = std::min(wanted_count, 0.1 * options_.draw_count);
    for (int round = 1;; ++round) {
      draw(static_cast<std::size_t>(round));
      const bool is_enough = round > 1 && effective_count(points()) >= wanted;
      if (is_enough || round == greatest_round_count) return;
      improve();
    }
  }

  [[nodiscard]] std::vector<WeighedPoints> points() const {
    const double ln_scale = greatest();
    std::vector<WeighedPoints> parts(part_count);
    for (std::size_t k = 0; k < models_.size(); ++k) {
      for (std::size_t i = 0; i < part_count; ++i) {
        const Batch& batch = parts_[k][i];
        for (std::size_t j = 0; j < batch.points.size(); ++j) {
          const double weight =
              std::exp(batch.ln_weights[j] - ln_scale) / static_cast<double>(batch.points.size());
          if (weight > 0.0) parts[i].push_back({k, batch.points[j], weight});
        }
      }
    }
    return parts;
  }

private:
  static constexpr int first_count = 600;
  static constexpr int least_count = 200;

  [[nodiscard]] Random random_of(std::size_t stream) const {
    return Random(options_.seed * 1'000'003U + stream);
  }

  void draw(std::size_t round) {
    const std::size_t model_count = models_.size();
    for (auto& parts : parts_)
      parts.resize(part_count);
    for_each_index(model_count * part_count, [&](std::size_t job) {
      const std::size_t k = job / part_count;
      Random random = random_of(100 * round + job);
      parts_[k][job % part_count] = batch_of(models_[k].target(), mixtures_[k],
                                             std::max(1, counts_[k] / static_cast<int>(part_count)), random);
    });
  }

  [[nodiscard]] double greatest() const {
    double result = none;
    for (const auto& parts : parts_)
      for (const Batch& batch : parts)
        result = std::max(result, greatest_ln_weight(batch));
    return result;
  }

  /// More draws where they are needed: the error of the whole is least with numbers that go with the root mean square of
  /// the weights. And kernels where draws weigh much.
  void improve() {
    const double ln_scale = greatest();
    std::vector<Sums> sums(models_.size());
    double need = 0.0;
    double evidence = 0.0;
    for (std::size_t k = 0; k < models_.size(); ++k) {
      for (const Batch& batch : parts_[k])
        sums[k].add(batch, ln_scale);
      need += std::sqrt(sums[k].squares / sums[k].count);
      evidence += sums[k].mean();
    }
    constexpr double negligible_ratio = 1e-4;
    for_each_index(models_.size(), [&](std::size_t k) {
      const double own_need = std::sqrt(sums[k].squares / sums[k].count);
      counts_[k] = std::max(least_count, static_cast<int>(options_.draw_count * own_need / need));
      if (sums[k].mean() >= negligible_ratio * evidence) thicken(k, ln_scale, sums[k]);
    });
  }

  void thicken(std::size_t k, double ln_scale, const Sums& sums) {
    constexpr double heavy_ratio = 8.0;  // over the mean weight
    constexpr double greatest_whole = 0.5;
    std::vector<std::pair<double, const VectorXd*>> heavy;
    std::vector<VectorXd> typical;
    for (const Batch& batch : parts_[k]) {
      for (std::size_t j = 0; j < batch.points.size(); ++j) {
        const double weight = std::exp(batch.ln_weights[j] - ln_scale);
        if (weight > heavy_ratio * sums.mean()) heavy.emplace_back(weight, &batch.points[j]);
      }
      for (VectorXd& point : resampled(batch, 50, 1.0))
        typical.push_back(std::move(point));
    }
    if (heavy.empty() || typical.empty()) return;
    std::stable_sort(heavy.begin(), heavy.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    const auto most = static_cast<std::size_t>(points_per_dimension * typical.front().size());
    if (heavy.size() > most) heavy.resize(most);
    double weight_sum = 0.0;
    for (const auto& [weight, point] : heavy)
      weight_sum += weight;
    const double whole = std::min(greatest_whole, weight_sum / sums.weights);
    const Eigen::MatrixXd least_precision = held_ratio * covariance_of(typical).inverse();
    std::vector<Kernel> kernels = mixtures_[k].kernels();
    for (Kernel& kernel : kernels)
      kernel.share_ratio *= 1.0 - whole;
    const Target target = models_[k].target();
    for (const auto& [weight, point] : heavy) {
      kernels.push_back(kernel_near(target, *point, least_precision, 0));
      kernels.back().share_ratio = whole * weight / weight_sum;
    }
    mixtures_[k] = KernelMixture(std::move(kernels));
  }

  const std::vector<SoilModel>& models_;
  const WeighingOptions& options_;
  std::vector<int> counts_;
  std::vector<KernelMixture> mixtures_;
  std::vector<std::vector<Batch>> parts_;  // of each number of layers
};

}  // namespace

std::vector<WeighedPoints> weighed_draws(const std::vector<SoilModel>& models,
                                         const WeighingOptions& options) {
  Sampler sampler(models, options);
  sampler.run();
  return sampler.points();
}

double effective_count(const std::vector<WeighedPoints>& parts) {
  double sum = 0.0, squares = 0.0;
  for (const WeighedPoints& part : parts)
    for (const WeighedPoint& point : part) {
      sum += point.weight_ratio;
      squares += point.weight_ratio * point.weight_ratio;
    }
  return squares > 0.0 ? sum * sum / squares : 0.0;
}

}  // namespace ohmroot::sounding::detail
