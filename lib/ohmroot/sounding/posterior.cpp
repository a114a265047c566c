// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/soil_model.hpp>
#include <ohmroot/sounding/posterior.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmroot::sounding {
namespace {

using detail::Population;
using Eigen::Index;

/// The independent runs of one number of layers.
struct Runs {
  detail::SoilModel model;
  std::vector<Population> populations;
};

void require_options(const PosteriorOptions& options) {
  require_within("options.sample_count", options.sample_count, "", {10, 1e5});
  require_within("options.greatest_layer_count", options.greatest_layer_count, "", {1, 5});
  require_within("options.population_count", options.population_count, "", {2, 64});
  require_within("options.particle_count", options.particle_count, "", {50, 1e5});
}

/// Where even the fullest model misses the readings, their stated errors are too small: by the best misfit of a
/// first, short run over half the number of readings.
double widening_of(const detail::SoilModel& fullest, std::size_t reading_count, std::uint64_t seed) {
  constexpr int scout_count = 100;
  const double misfit = detail::anneal(fullest.target(), scout_count, seed).least_misfit;
  return std::sqrt(std::max(1.0, misfit / (0.5 * static_cast<double>(reading_count))));
}

std::vector<Runs> run_all(const std::vector<FourPoleReading>& readings, const PosteriorOptions& options) {
  const int supported_count = static_cast<int>(readings.size() + 1) / 2;
  const int greatest_count = std::min(options.greatest_layer_count, std::max(1, supported_count));
  std::vector<Runs> all;
  for (int layer_count = 1; layer_count <= greatest_count; ++layer_count)
    all.push_back({detail::SoilModel(readings, options.depth_rule, layer_count),
                   std::vector<Population>(static_cast<std::size_t>(options.population_count))});
  const auto run_count = static_cast<std::size_t>(options.population_count);
  const double widening_ratio = widening_of(all.back().model, readings.size(), options.seed);
  for (Runs& runs : all)
    runs.model.widen_errors(widening_ratio);
  for_each_index(all.size() * run_count, [&](std::size_t i) {
    Runs& runs = all[all.size() - 1 - i / run_count];  // the longest first
    const std::uint64_t seed = options.seed * 1'000'003U + i;
    runs.populations[i % run_count] = detail::anneal(runs.model.target(), options.particle_count, seed);
  });
  return all;
}

LayerCountBelief belief_of(const Runs& runs, int layer_count) {
  LayerCountBelief belief;
  belief.layer_count = layer_count;
  const double greatest =
      std::max_element(runs.populations.begin(), runs.populations.end(), [](const auto& a, const auto& b) {
        return a.ln_evidence < b.ln_evidence;
      })->ln_evidence;
  double mean = 0.0;
  double square = 0.0;
  double sum = 0.0;
  const auto count = static_cast<double>(runs.populations.size());
  for (const Population& population : runs.populations) {
    sum += std::exp(population.ln_evidence - greatest);
    mean += population.ln_evidence / count;
  }
  for (const Population& population : runs.populations)
    square += (population.ln_evidence - mean) * (population.ln_evidence - mean);
  belief.ln_evidence = greatest + std::log(sum / count);
  belief.ln_evidence_spread = std::sqrt(square / (count - 1.0));
  return belief;
}

void set_shares(std::vector<LayerCountBelief>& beliefs) {
  double greatest = beliefs.front().ln_evidence;
  for (const LayerCountBelief& belief : beliefs)
    greatest = std::max(greatest, belief.ln_evidence);
  double sum = 0.0;
  for (LayerCountBelief& belief : beliefs)
    sum += belief.share_ratio = std::exp(belief.ln_evidence - greatest);
  for (LayerCountBelief& belief : beliefs)
    belief.share_ratio /= sum;
}

/// Agreement of the runs about one quantity, whose values are given run by run.
struct Agreement {
  double split_r_hat_ratio;
  double effective_count;
};

Agreement agreement_of(const std::vector<Eigen::MatrixXd>& runs, Index row) {
  std::vector<double> means;
  double within = 0.0;
  const Index half = runs.front().cols() / 2;
  for (const Eigen::MatrixXd& run : runs) {
    for (const Index from : {Index{0}, half}) {
      const auto part = run.row(row).segment(from, half);
      means.push_back(part.mean());
      within += (part.array() - part.mean()).square().sum() / static_cast<double>(half - 1);
    }
  }
  const auto count = static_cast<double>(means.size());
  within /= count;
  const double mean = std::accumulate(means.begin(), means.end(), 0.0) / count;
  double between = 0.0;
  for (const double value : means)
    between += (value - mean) * (value - mean) / (count - 1.0);
  const double pooled = within * (1.0 - 1.0 / static_cast<double>(half)) + between;
  const double most = count * static_cast<double>(half);
  return {std::sqrt(pooled / within), std::min(most, count * within / std::max(between, 1e-300))};
}

void diagnose(const std::vector<Runs>& all, SoilPosterior& result) {
  constexpr double share_that_matters = 0.05;
  constexpr double good_r_hat = 1.1;
  constexpr double good_spread = 1.0;
  result.effective_sample_count = std::numeric_limits<double>::infinity();
  double greatest_spread = 0.0;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const double share = result.layer_counts[k].share_ratio;
    if (share < share_that_matters) continue;
    greatest_spread = std::max(greatest_spread, result.layer_counts[k].ln_evidence_spread);
    std::vector<Eigen::MatrixXd> predictions;
    for (const Population& population : all[k].populations) {
      for (Index i = 0; i < population.points.cols(); ++i) {
        const Eigen::VectorXd values = all[k].model.predictions(population.points.col(i));
        if (i == 0) predictions.emplace_back(values.size(), population.points.cols());
        predictions.back().col(i) = values;
      }
    }
    for (Index row = 0; row < predictions.front().rows(); ++row) {
      const Agreement agreement = agreement_of(predictions, row);
      result.greatest_split_r_hat_ratio =
          std::max(result.greatest_split_r_hat_ratio, agreement.split_r_hat_ratio);
      result.effective_sample_count = std::min(result.effective_sample_count, agreement.effective_count);
    }
  }
  if (result.greatest_split_r_hat_ratio > good_r_hat || greatest_spread > good_spread) {
    result.status = PosteriorStatus::rough;
    result.why = "the independent runs of the sampler differ: ";
  }
  result.why +=
      fmt::format("split R-hat at most {}, evidence of the numbers of layers within {} (ln, one standard "
                  "deviation) between runs",
                  format_number(result.greatest_split_r_hat_ratio, 4), format_number(greatest_spread, 2));
}

/// Whole numbers of draws in the proportion of the shares, by largest remainders.
std::vector<int> draw_counts(const std::vector<LayerCountBelief>& beliefs, int sample_count) {
  std::vector<int> counts;
  std::vector<std::pair<double, std::size_t>> remainders;
  for (std::size_t k = 0; k < beliefs.size(); ++k) {
    const double wanted = beliefs[k].share_ratio * sample_count;
    counts.push_back(static_cast<int>(wanted));
    remainders.emplace_back(wanted - std::floor(wanted), k);
  }
  std::stable_sort(remainders.begin(), remainders.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  int missing = sample_count - std::accumulate(counts.begin(), counts.end(), 0);
  for (std::size_t i = 0; missing > 0; ++i, --missing)
    ++counts[remainders[i % remainders.size()].second];
  return counts;
}

/// Draws spread evenly over the points of all runs, in an order that mixes numbers of layers, so that any part of
/// them taken at equal steps is a sample too.
std::vector<earth::LayeredSoil> draws_of(const std::vector<Runs>& all, const std::vector<int>& counts) {
  struct Draw {
    double place;  // within its number of layers, 0 to 1
    std::size_t k;
    std::size_t point;
  };
  std::vector<Draw> order;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const auto each = static_cast<std::size_t>(all[k].populations.front().points.cols());
    const std::size_t pool = each * all[k].populations.size();
    const auto count = static_cast<std::size_t>(counts[k]);
    for (std::size_t i = 0; i < count; ++i)
      order.push_back({(static_cast<double>(i) + 0.5) / static_cast<double>(count), k, i * pool / count});
  }
  std::stable_sort(order.begin(), order.end(),
                   [](const Draw& a, const Draw& b) { return a.place < b.place; });
  std::vector<earth::LayeredSoil> soils;
  for (const Draw& draw : order) {
    const std::vector<Population>& populations = all[draw.k].populations;
    const std::size_t population = draw.point % populations.size();
    const auto column = static_cast<Index>(draw.point / populations.size());
    soils.push_back(all[draw.k].model.soil_of(populations[population].points.col(column)));
  }
  return soils;
}

}  // namespace

SoilPosterior sample_posterior(const std::vector<FourPoleReading>& readings,
                               const PosteriorOptions& options) {
  if (readings.empty()) throw DomainError("readings", "none", "at least one reading");
  require_options(options);
  const std::vector<Runs> all = run_all(readings, options);
  SoilPosterior result;
  for (std::size_t k = 0; k < all.size(); ++k)
    result.layer_counts.push_back(belief_of(all[k], static_cast<int>(k) + 1));
  set_shares(result.layer_counts);
  diagnose(all, result);
  result.soils = draws_of(all, draw_counts(result.layer_counts, options.sample_count));
  result.prior = all.back().model.prior_words();
  result.objective =
      "ln(measured / modelled) over the stated error, squared to two errors and linear beyond (Huber), "
      "the errors known up to a common factor";
  return result;
}

}  // namespace ohmroot::sounding
