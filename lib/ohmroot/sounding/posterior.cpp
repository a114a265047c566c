// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/layer_chain.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/detail/soil_model.hpp>
#include <ohmroot/sounding/posterior.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace ohmroot::sounding {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// An independent run: points of its walk.
using Run = std::vector<detail::ChainPoint>;

void require_options(const PosteriorOptions& options) {
  require_within("options.sample_count", options.sample_count, "", {10, 1e5});
  require_within("options.greatest_layer_count", options.greatest_layer_count, "", {1, 5});
  require_within("options.run_count", options.run_count, "", {2, 64});
  require_within("options.step_count", options.step_count, "", {1000, 1e8});
}

/// Where even the fullest model misses the readings, their stated errors are too small: by the best misfit of a
/// first, short run over half the number of readings. Only what stated errors reach in one sounding out of ten says so,
/// in full from twice that on: else half of all good soundings would be widened.
double widening_of(const detail::SoilModel& fullest, std::size_t reading_count, std::uint64_t seed) {
  constexpr int scout_count = 100;
  detail::Random random(seed);
  const double misfit = detail::anneal(fullest.target(), scout_count, random).least_misfit;
  const auto count = static_cast<double>(reading_count);
  const double usual = boost::math::quantile(boost::math::chi_squared_distribution<double>(count), 0.9);
  const double full_ratio = std::sqrt(std::max(1.0, misfit / (0.5 * count)));
  return 1.0 + (full_ratio - 1.0) * std::clamp(misfit / usual - 1.0, 0.0, 1.0);
}

/// By number of layers, one first.
std::vector<detail::SoilModel> models_of(const std::vector<FourPoleReading>& readings,
                                         const PosteriorOptions& options) {
  const int supported_count = static_cast<int>(readings.size() + 1) / 2;
  const int greatest_count = std::min(options.greatest_layer_count, std::max(1, supported_count));
  const std::vector<FourPoleReading> all = detail::with_bounds(readings, options.bounds);
  std::vector<detail::SoilModel> models;
  for (int layer_count = 1; layer_count <= greatest_count; ++layer_count)
    models.emplace_back(all, options.depth_rule, layer_count);
  const double widening_ratio = widening_of(models.back(), readings.size(), options.seed);
  for (detail::SoilModel& model : models)
    model.widen_errors(widening_ratio);
  return models;
}

/// Independent jumps pay up to three layers: beyond, clouds are too ragged to be hit (measured).
constexpr std::size_t jump_layer_count = 3;

Run run_of(const std::vector<detail::SoilModel>& models, const PosteriorOptions& options,
           std::uint64_t seed) {
  constexpr int particle_count = 100;
  constexpr double least_share = 0.02;
  constexpr int most_kept = 4'000;
  detail::Random random(seed);
  std::vector<detail::LayerTarget> targets;
  std::vector<double> ln_evidences;
  for (const detail::SoilModel& model : models) {
    const detail::Population cloud = detail::anneal(model.target(), particle_count, random);
    targets.push_back({model.target(), detail::CloudDensity(cloud.points), 0.0});
    if (targets.size() <= jump_layer_count) ln_evidences.push_back(cloud.ln_evidence);
  }
  const double greatest = *std::max_element(ln_evidences.begin(), ln_evidences.end());
  double sum = 0.0;
  for (std::size_t k = 0; k < ln_evidences.size(); ++k)
    sum += targets[k].jump_share_ratio = std::max(least_share, std::exp(ln_evidences[k] - greatest));
  for (detail::LayerTarget& target : targets)
    target.jump_share_ratio /= sum;
  const detail::ChainOptions walk{models.front().ln_shallowest(), models.front().ln_deepest(),
                                  options.step_count, std::min(most_kept, options.step_count / 20)};
  return detail::walked(targets, walk, random);
}

/// Of each point of each run.
using Weights = std::vector<std::vector<double>>;

Weights equal_weights(const std::vector<Run>& runs) {
  Weights weights;
  for (const Run& run : runs)
    weights.emplace_back(run.size(), 1.0);
  return weights;
}

std::vector<LayerCountBelief> beliefs_of(const std::vector<Run>& runs, const Weights& weights,
                                         std::size_t model_count) {
  std::vector<LayerCountBelief> beliefs;
  for (std::size_t k = 0; k < model_count; ++k) {
    double visited = 0.0, whole = 0.0;
    std::vector<double> shares;  // of each run
    for (std::size_t run = 0; run < runs.size(); ++run) {
      double own_visited = 0.0, own = 0.0;
      for (std::size_t i = 0; i < runs[run].size(); ++i) {
        own += weights[run][i];
        if (runs[run][i].boundary_count == k) own_visited += weights[run][i];
      }
      if (own > 0.0) shares.push_back(own_visited / own);
      visited += own_visited;
      whole += own;
    }
    const double share = visited / whole;
    double square = 0.0;
    for (const double of_run : shares)
      square += (of_run - share) * (of_run - share);
    beliefs.push_back({static_cast<int>(k) + 1, share,
                       shares.size() > 1 ? std::sqrt(square / static_cast<double>(shares.size() - 1)) : 0.0});
  }
  return beliefs;
}

/// Predictions of a run, a point a column.
Eigen::MatrixXd predictions_of(const std::vector<detail::SoilModel>& models, const Run& run) {
  Eigen::MatrixXd all;
  for (std::size_t i = 0; i < run.size(); ++i) {
    const VectorXd values = models[run[i].boundary_count].predictions(run[i].parameters);
    if (i == 0) all.resize(values.size(), static_cast<Index>(run.size()));
    all.col(static_cast<Index>(i)) = values;
  }
  return all;
}

/// Every row by the normal deviate of its rank among all runs, so that a few far draws do not rule (Vehtari and others,
/// Bayesian Analysis 16 (2021) 667, from memory).
void rank_normalise(std::vector<Eigen::MatrixXd>& runs) {
  const auto count = static_cast<double>(runs.size()) * static_cast<double>(runs.front().cols());
  const boost::math::normal_distribution<double> normal;
  for (Index row = 0; row < runs.front().rows(); ++row) {
    std::vector<double*> values;
    for (Eigen::MatrixXd& run : runs) {
      for (Index column = 0; column < run.cols(); ++column)
        values.push_back(&run(row, column));
    }
    std::stable_sort(values.begin(), values.end(), [](const double* a, const double* b) { return *a < *b; });
    for (std::size_t i = 0; i < values.size(); ++i)
      *values[i] = boost::math::quantile(normal, (static_cast<double>(i) + 0.625) / (count + 0.25));
  }
}

/// Agreement of the halves of all runs about one quantity, whose values are given run by run.
struct Agreement {
  double split_r_hat_ratio = 1.0;
  double effective_count = 0.0;
};

/// Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, sections 11.4 and 11.5 (from memory): R-hat, and the number
/// of independent draws that tell as much, from the variogram; its sum ends where a pair turns negative.
Agreement agreement_of(const std::vector<Eigen::MatrixXd>& runs, Index row) {
  const Index length = runs.front().cols() / 2;
  std::vector<VectorXd> parts;
  for (const Eigen::MatrixXd& run : runs) {
    parts.emplace_back(run.row(row).head(length));
    parts.emplace_back(run.row(row).tail(length));
  }
  const auto count = static_cast<double>(parts.size());
  const auto size = static_cast<double>(length);
  VectorXd means(static_cast<Index>(parts.size()));
  double within = 0.0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const double mean = means[static_cast<Index>(i)] = parts[i].mean();
    within += (parts[i].array() - mean).square().sum() / (size - 1.0) / count;
  }
  const double between = (means.array() - means.mean()).square().sum() / (count - 1.0);
  const double pooled = within * (size - 1.0) / size + between;
  const auto correlation = [&](Index lag) {
    double variogram = 0.0;
    for (const VectorXd& part : parts)
      variogram += (part.tail(length - lag) - part.head(length - lag)).squaredNorm() /
                   static_cast<double>(length - lag) / count;
    return 1.0 - variogram / (2.0 * pooled);
  };
  double time = 1.0;
  for (Index lag = 1; lag + 1 < length; lag += 2) {
    const double pair = correlation(lag) + correlation(lag + 1);
    if (pair < 0.0) break;
    time += 2.0 * pair;
  }
  return {std::sqrt(pooled / within), count * size / time};
}

void diagnose(const std::vector<detail::SoilModel>& models, const std::vector<Run>& runs,
              SoilPosterior& result) {
  constexpr double good_r_hat = 1.1;
  std::vector<Eigen::MatrixXd> predictions(runs.size());
  for_each_index(runs.size(), [&](std::size_t i) { predictions[i] = predictions_of(models, runs[i]); });
  rank_normalise(predictions);
  std::vector<Agreement> agreements(static_cast<std::size_t>(predictions.front().rows()));
  for_each_index(agreements.size(), [&](std::size_t row) {
    agreements[row] = agreement_of(predictions, static_cast<Index>(row));
  });
  result.effective_sample_count = std::numeric_limits<double>::infinity();
  for (const Agreement& agreement : agreements) {
    result.greatest_split_r_hat_ratio =
        std::max(result.greatest_split_r_hat_ratio, agreement.split_r_hat_ratio);
    result.effective_sample_count = std::min(result.effective_sample_count, agreement.effective_count);
  }
  const bool is_split = result.greatest_split_r_hat_ratio > good_r_hat;
  if (is_split) result.status = PosteriorStatus::rough;
  result.why = fmt::format("{}split R-hat at most {}, worth {} independent draws",
                           is_split ? "the independent runs of the sampler differ: " : "",
                           format_number(result.greatest_split_r_hat_ratio, 4),
                           format_number(result.effective_sample_count, 2));
}

/// How likely the rods' readings make each point of a run, over what the four-pole readings say alone; the greatest of all
/// is 1.
Weights rod_weights(const std::vector<detail::SoilModel>& models, const std::vector<Run>& runs,
                    const std::vector<DrivenRodReading>& rods) {
  constexpr double none = -std::numeric_limits<double>::infinity();
  Weights weights;
  double greatest = none;
  for (const Run& run : runs) {
    std::vector<double>& own = weights.emplace_back(run.size());
    for_each_index(run.size(), [&](std::size_t i) {
      const detail::SoilModel& model = models[run[i].boundary_count];
      const detail::Target target = model.target();
      const double misfit = target.misfit(run[i].parameters);
      const auto of_rods = detail::rod_misfit(rods, model.soil_of(run[i].parameters));
      const double both_count = target.reading_count + static_cast<double>(rods.size());
      own[i] = of_rods ? detail::ln_likelihood_of(misfit + *of_rods, both_count) -
                             detail::ln_likelihood_of(misfit, target.reading_count)
                       : none;
    });
    greatest = std::max(greatest, *std::max_element(own.begin(), own.end()));
  }
  if (std::isinf(greatest))
    throw DomainError("rods", "none that the field solution takes in any of these soils",
                      "rods of usual size");
  for (std::vector<double>& own : weights)
    for (double& weight : own)
      weight = std::exp(weight - greatest);
  return weights;
}

/// Equally likely draws that tell as much: (sum w)^2 / sum w^2 (Kish, Survey Sampling, 1965, from memory).
double effective_count(const Weights& weights) {
  double sum = 0.0, squares = 0.0;
  for (const std::vector<double>& own : weights)
    for (const double weight : own) {
      sum += weight;
      squares += weight * weight;
    }
  return sum * sum / squares;
}

Weights joined_rods(const std::vector<detail::SoilModel>& models, std::vector<Run>& runs,
                    const PosteriorOptions& options, SoilPosterior& result) {
  constexpr std::size_t weighed_count = 4'000;  // over all runs
  constexpr double fewest_that_tell = 100.0;
  for (Run& run : runs) {
    const std::size_t kept = std::min(std::max<std::size_t>(10, weighed_count / runs.size()), run.size());
    Run thinned;
    for (std::size_t i = 0; i < kept; ++i)
      thinned.push_back(run[i * run.size() / kept]);
    run = std::move(thinned);
  }
  Weights weights = rod_weights(models, runs, options.rods);
  const double effective = effective_count(weights);
  result.effective_sample_count = std::min(result.effective_sample_count, effective);
  result.why += fmt::format("; {} reading{} of driven rods joined: {} soils weighed are worth {} alike",
                            options.rods.size(), options.rods.size() == 1 ? "" : "s",
                            runs.size() * runs.front().size(), format_number(effective, 2));
  if (effective < fewest_that_tell) {
    result.status = PosteriorStatus::rough;
    result.why =
        "the rods' readings leave too few of the soils that the four-pole readings allow (they contradict "
        "each other, or the error stated for the rods is too small): " +
        result.why;
  }
  return weights;
}

/// Draws at equal steps of the weight of all runs, sorted by number of layers and then taken in an order that mixes them,
/// so that any part of them taken at equal steps is a sample too.
std::vector<earth::LayeredSoil> draws_of(const std::vector<detail::SoilModel>& models,
                                         const std::vector<Run>& runs, const Weights& weights,
                                         int sample_count) {
  std::vector<std::pair<const detail::ChainPoint*, double>> sorted;
  double sum = 0.0;
  for (std::size_t run = 0; run < runs.size(); ++run) {
    for (std::size_t i = 0; i < runs[run].size(); ++i) {
      sorted.emplace_back(&runs[run][i], weights[run][i]);
      sum += weights[run][i];
    }
  }
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) {
    return a.first->boundary_count < b.first->boundary_count;
  });
  const auto count = static_cast<std::size_t>(sample_count);
  std::vector<const detail::ChainPoint*> drawn;
  double reached = 0.0;
  for (std::size_t k = 0; drawn.size() < count; ++k) {
    const bool is_last = k + 1 == sorted.size();  // rounding leaves nothing out
    reached += sorted[k].second;
    while (drawn.size() < count &&
           (is_last || static_cast<double>(drawn.size()) * sum < reached * static_cast<double>(count)))
      drawn.push_back(sorted[k].first);
  }
  auto stride = static_cast<std::size_t>(0.6180339887 * sample_count);  // golden section: never in step
  while (std::gcd(stride, count) != 1)
    ++stride;
  std::vector<earth::LayeredSoil> soils;
  for (std::size_t i = 0; i < count; ++i) {
    const detail::ChainPoint* point = drawn[i * stride % count];
    soils.push_back(models[point->boundary_count].soil_of(point->parameters));
  }
  return soils;
}

}  // namespace

SoilPosterior sample_posterior(const std::vector<FourPoleReading>& readings,
                               const PosteriorOptions& options) {
  if (readings.empty()) throw DomainError("readings", "none", "at least one reading");
  require_options(options);
  detail::require_valid(options.rods);
  const std::vector<detail::SoilModel> models = models_of(readings, options);
  std::vector<Run> runs(static_cast<std::size_t>(options.run_count));
  for_each_index(runs.size(),
                 [&](std::size_t i) { runs[i] = run_of(models, options, options.seed * 1'000'003U + i); });
  SoilPosterior result;
  diagnose(models, runs, result);
  const Weights weights =
      options.rods.empty() ? equal_weights(runs) : joined_rods(models, runs, options, result);
  result.layer_counts = beliefs_of(runs, weights, models.size());
  result.soils = draws_of(models, runs, weights, options.sample_count);
  result.prior = models.back().prior_words();
  result.objective =
      "ln(measured / modelled) over the stated error, squared to two errors and linear beyond (Huber), "
      "the errors known up to a common factor";
  if (!options.rods.empty()) result.objective += "; driven rods by the field solution of each in the layers";
  return result;
}

}  // namespace ohmroot::sounding
