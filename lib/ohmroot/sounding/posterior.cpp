// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/detail/soil_model.hpp>
#include <ohmroot/sounding/detail/weighed_draws.hpp>
#include <ohmroot/sounding/posterior.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace ohmroot::sounding {
namespace {

using detail::WeighedPoint;
using detail::WeighedPoints;
using Eigen::Index;
using Eigen::VectorXd;
using Parts = std::vector<WeighedPoints>;

void require_options(const PosteriorOptions& options) {
  require_within("options.sample_count", options.sample_count, "", {10, 1e5});
  require_within("options.greatest_layer_count", options.greatest_layer_count, "", {1, 5});
  require_within("options.draw_count", options.draw_count, "", {1000, 1e8});
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

std::vector<LayerCountBelief> beliefs_of(const Parts& parts, std::size_t model_count) {
  std::vector<LayerCountBelief> beliefs;
  for (std::size_t k = 0; k < model_count; ++k) {
    double visited = 0.0, whole = 0.0;
    std::vector<double> shares;  // of each part
    for (const WeighedPoints& part : parts) {
      double own_visited = 0.0, own = 0.0;
      for (const WeighedPoint& point : part) {
        own += point.weight_ratio;
        if (point.boundary_count == k) own_visited += point.weight_ratio;
      }
      if (own > 0.0) shares.push_back(own_visited / own);
      visited += own_visited;
      whole += own;
    }
    const double share = visited / whole;
    double square = 0.0;
    for (const double of_part : shares)
      square += (of_part - share) * (of_part - share);
    beliefs.push_back({static_cast<int>(k) + 1, share,
                       shares.size() > 1 ? std::sqrt(square / static_cast<double>(shares.size() - 1)) : 0.0});
  }
  return beliefs;
}

/// Weighted mean and mean square of the predictions of one part.
struct Moments {
  double weight = 0.0;
  VectorXd mean;
  VectorXd square;
};

Moments moments_of(const std::vector<detail::SoilModel>& models, const WeighedPoints& part) {
  Moments moments;
  for (const WeighedPoint& point : part) {
    const VectorXd values = models[point.boundary_count].predictions(point.parameters);
    if (moments.mean.size() == 0) moments.mean = moments.square = VectorXd::Zero(values.size());
    moments.weight += point.weight_ratio;
    moments.mean += point.weight_ratio * values;
    moments.square += point.weight_ratio * values.cwiseAbs2();
  }
  moments.mean /= moments.weight;
  moments.square /= moments.weight;
  return moments;
}

/// R-hat (Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, section 11.4, from memory) of the prediction about
/// which the parts agree worst: the root of the variance within and between them over that within.
double greatest_r_hat_ratio(const std::vector<detail::SoilModel>& models, const Parts& parts) {
  std::vector<Moments> all(parts.size());
  for_each_index(parts.size(), [&](std::size_t i) { all[i] = moments_of(models, parts[i]); });
  const auto count = static_cast<double>(parts.size());
  VectorXd mean = VectorXd::Zero(all.front().mean.size());
  for (const Moments& moments : all)
    mean += moments.mean / count;
  VectorXd within = VectorXd::Zero(mean.size());
  VectorXd between = VectorXd::Zero(mean.size());
  for (const Moments& moments : all) {
    within += (moments.square - moments.mean.cwiseAbs2()) / count;
    between += (moments.mean - mean).cwiseAbs2() / (count - 1.0);
  }
  constexpr double rounding = 1e-12;  // where a prediction does not vary at all
  return std::sqrt(1.0 + (between.array() / (within.array() + rounding)).maxCoeff());
}

void diagnose(const std::vector<detail::SoilModel>& models, const Parts& parts, SoilPosterior& result) {
  constexpr double good_r_hat = 1.1;
  constexpr double fewest_that_tell = 200.0;
  result.greatest_r_hat_ratio = greatest_r_hat_ratio(models, parts);
  result.effective_sample_count = detail::effective_count(parts);
  const bool is_split = result.greatest_r_hat_ratio > good_r_hat;
  const bool is_thin = result.effective_sample_count < fewest_that_tell;
  if (is_split || is_thin) result.status = PosteriorStatus::rough;
  result.why = fmt::format("{}{}R-hat of four independent parts at most {}, worth {} independent draws",
                           is_split ? "the independent parts of the draws differ: " : "",
                           is_thin ? "a few draws carry most of the weight: " : "",
                           format_number(result.greatest_r_hat_ratio, 4),
                           format_number(result.effective_sample_count, 2));
}

/// Points at equal steps of the weight of a part, each with the same part of it.
WeighedPoints evened(const WeighedPoints& part, std::size_t count) {
  double whole = 0.0;
  for (const WeighedPoint& point : part)
    whole += point.weight_ratio;
  WeighedPoints points;
  double reached = 0.0;
  for (std::size_t i = 0; i < part.size() && points.size() < count; ++i) {
    const bool is_last = i + 1 == part.size();  // rounding leaves nothing out
    reached += part[i].weight_ratio * static_cast<double>(count);
    while (points.size() < count &&
           (is_last || (static_cast<double>(points.size()) + 0.5) * whole < reached)) {
      points.push_back(part[i]);
      points.back().weight_ratio = whole / static_cast<double>(count);
    }
  }
  return points;
}

/// What the rods' readings say of one soil.
struct RodView {
  double misfit = 0.0;
  double ln_factor = 0.0;  // of the likelihood with them over that without
};

std::vector<RodView> rod_views(const std::vector<detail::SoilModel>& models,
                               const std::vector<DrivenRodReading>& rods, const WeighedPoints& points) {
  std::vector<RodView> views(points.size());
  for_each_index(points.size(), [&](std::size_t i) {
    const detail::SoilModel& model = models[points[i].boundary_count];
    const double of_rods = detail::rod_misfit(rods, model.soil_of(points[i].parameters));
    const detail::Target target = model.target();
    const double misfit = target.misfit(points[i].parameters);
    const double both_count = target.reading_count + static_cast<double>(rods.size());
    views[i] = {of_rods, detail::ln_likelihood_of(misfit + of_rods, both_count) -
                             detail::ln_likelihood_of(misfit, target.reading_count)};
  });
  return views;
}

/// Why the soils that both allow are not to be relied on; empty if they are.
std::string rod_doubt(double effective, double mean_misfit, std::size_t rod_count) {
  constexpr double fewest_that_tell = 100.0;
  constexpr double good_probability = 0.999;
  const boost::math::chi_squared_distribution<double> expected(static_cast<double>(rod_count));
  if (mean_misfit > boost::math::quantile(expected, good_probability))
    return "the rods' readings contradict the four-pole readings: no soil that these allow comes within the "
           "stated "
           "errors of the rods (ground that changes sideways, a bad contact, or the errors are too small): ";
  if (effective < fewest_that_tell)
    return "the rods' readings leave too few of the soils that the four-pole readings allow (the error "
           "stated for "
           "the rods may be too small): ";
  return "";
}

void join_rods(const std::vector<detail::SoilModel>& models, const PosteriorOptions& options, Parts& parts,
               SoilPosterior& result) {
  constexpr std::size_t weighed_count = 2'000;  // of each part
  std::vector<std::vector<RodView>> views;
  double greatest = -std::numeric_limits<double>::infinity();
  for (WeighedPoints& part : parts) {
    part = evened(part, weighed_count);
    views.push_back(rod_views(models, options.rods, part));
    for (const RodView& view : views.back())
      greatest = std::max(greatest, view.ln_factor);
  }
  double misfits = 0.0, weights = 0.0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    for (std::size_t j = 0; j < parts[i].size(); ++j) {
      double& weight = parts[i][j].weight_ratio *= std::exp(views[i][j].ln_factor - greatest);
      misfits += weight * views[i][j].misfit;
      weights += weight;
    }
  }
  const double effective = detail::effective_count(parts);
  result.effective_sample_count = std::min(result.effective_sample_count, effective);
  result.why += fmt::format("; {} reading{} of driven rods joined: {} soils weighed are worth {} alike",
                            options.rods.size(), options.rods.size() == 1 ? "" : "s",
                            parts.size() * weighed_count, format_number(effective, 2));
  const std::string doubt = rod_doubt(effective, misfits / weights, options.rods.size());
  if (doubt.empty()) return;
  result.status = PosteriorStatus::rough;
  result.why = doubt + result.why;
}

/// Draws at equal steps of the weight of all parts, sorted by number of layers and then taken in an order that mixes them,
/// so that any part of them taken at equal steps is a sample too.
std::vector<earth::LayeredSoil> draws_of(const std::vector<detail::SoilModel>& models, const Parts& parts,
                                         int sample_count) {
  WeighedPoints all;
  for (const WeighedPoints& part : parts)
    all.insert(all.end(), part.begin(), part.end());
  std::stable_sort(all.begin(), all.end(), [](const WeighedPoint& a, const WeighedPoint& b) {
    return a.boundary_count < b.boundary_count;
  });
  const auto count = static_cast<std::size_t>(sample_count);
  const WeighedPoints drawn = evened(all, count);
  auto stride = static_cast<std::size_t>(0.6180339887 * sample_count);  // golden section: never in step
  while (std::gcd(stride, count) != 1)
    ++stride;
  std::vector<earth::LayeredSoil> soils;
  for (std::size_t i = 0; i < count; ++i) {
    const WeighedPoint& point = drawn[i * stride % count];
    soils.push_back(models[point.boundary_count].soil_of(point.parameters));
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
  Parts parts = detail::weighed_draws(models, {options.draw_count, options.seed});
  SoilPosterior result;
  diagnose(models, parts, result);
  if (!options.rods.empty()) join_rods(models, options, parts, result);
  result.layer_counts = beliefs_of(parts, models.size());
  result.soils = draws_of(models, parts, options.sample_count);
  result.prior = models.back().prior_words();
  result.objective =
      "ln(measured / modelled) over the stated error, squared to two errors and linear beyond (Huber), "
      "the errors known up to a common factor";
  if (!options.rods.empty())
    result.objective += "; driven rods by the field solution of each in the layers, of a few elements";
  return result;
}

}  // namespace ohmroot::sounding
