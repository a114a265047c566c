// SPDX-License-Identifier: MIT
#include "layer_chain.hpp"

#include <boost/math/constants/constants.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace layer_chain {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double none = -std::numeric_limits<double>::infinity();

/// Steps of ln resistivity across a new boundary: from hardly seen to those of the prior.
constexpr std::array<double, 3> contrast_spreads{0.1, 0.4, 1.5};

double drawn_contrast(Random& random) {
  const auto which = static_cast<std::size_t>(random.uniform() * contrast_spreads.size());
  return contrast_spreads.at(std::min(which, contrast_spreads.size() - 1)) * random.normal();
}

double ln_contrast_density(double contrast) {
  double sum = 0.0;
  for (const double spread : contrast_spreads)
    sum += std::exp(-0.5 * contrast * contrast / (spread * spread)) / spread;
  return std::log(sum * boost::math::constants::one_div_root_two_pi<double>() / contrast_spreads.size());
}

/// Which part of a layer keeps its resistivity when it is split: the share of the contrast that goes to the lower.
constexpr std::array<double, 3> lower_shares{1.0, 0.0, 0.5};

double drawn_lower_share(Random& random) {
  const auto which = static_cast<std::size_t>(random.uniform() * lower_shares.size());
  return lower_shares.at(std::min(which, lower_shares.size() - 1));
}

/// ln resistivities from the top, ln depths of the boundaries, factors of traverses.
class Layers {
public:
  Layers(const VectorXd& parameters, std::size_t model)
      : resistivities_(parameters.begin(), parameters.begin() + static_cast<Index>(model) + 1),
        depths_(parameters.begin() + static_cast<Index>(model) + 1,
                parameters.begin() + 2 * static_cast<Index>(model) + 1),
        rest_(parameters.begin() + 2 * static_cast<Index>(model) + 1, parameters.end()) {}

  [[nodiscard]] std::size_t boundary_count() const { return depths_.size(); }

  void split(double depth, double contrast, double lower_share) {
    const auto at = std::upper_bound(depths_.begin(), depths_.end(), depth) - depths_.begin();
    const double whole = resistivities_[static_cast<std::size_t>(at)];
    resistivities_[static_cast<std::size_t>(at)] = whole - (1.0 - lower_share) * contrast;
    resistivities_.insert(resistivities_.begin() + at + 1, whole + lower_share * contrast);
    depths_.insert(depths_.begin() + at, depth);
  }

  /// The contrast that was there.
  double merge(std::size_t boundary, double lower_share) {
    const double contrast = resistivities_[boundary + 1] - resistivities_[boundary];
    resistivities_[boundary] += (1.0 - lower_share) * contrast;
    resistivities_.erase(resistivities_.begin() + static_cast<std::ptrdiff_t>(boundary) + 1);
    depths_.erase(depths_.begin() + static_cast<std::ptrdiff_t>(boundary));
    return contrast;
  }

  [[nodiscard]] VectorXd parameters() const {
    VectorXd all(static_cast<Index>(resistivities_.size() + depths_.size() + rest_.size()));
    std::copy(rest_.begin(), rest_.end(),
              std::copy(depths_.begin(), depths_.end(),
                        std::copy(resistivities_.begin(), resistivities_.end(), all.begin())));
    return all;
  }

private:
  std::vector<double> resistivities_;
  std::vector<double> depths_;
  std::vector<double> rest_;
};

class Chain {
public:
  Chain(const std::vector<Target>& targets, const ChainOptions& options, Random& random)
      : targets_(targets), options_(options), random_(random) {
    at_.parameters = targets.front().draw_prior(random);
    ln_target_ = targets.front().ln_posterior(at_.parameters);
  }

  void step() {
    const double kind = random_.uniform();
    if (kind < 0.3)
      change_one();
    else if (kind < 0.5)
      trade();
    else if (kind < 0.6)
      relocate();
    else if (kind < 0.8)
      split();
    else
      merge();
  }

  [[nodiscard]] const ChainPoint& at() const { return at_; }

private:
  /// ln_odds: of the proposal back over the proposal there.
  void propose(std::size_t model, VectorXd point, double ln_odds) {
    const double ln_chance = std::log(random_.uniform());
    const double ln_there = targets_[model].ln_posterior(point);
    if (!(ln_chance <= ln_there - ln_target_ + ln_odds)) return;
    at_ = {model, std::move(point)};
    ln_target_ = ln_there;
  }

  void change_one() {
    VectorXd point = at_.parameters;
    const Index size = point.size();
    point[std::min(static_cast<Index>(random_.uniform() * static_cast<double>(size)), size - 1)] +=
        drawn_contrast(random_);
    propose(at_.boundary_count, std::move(point), 0.0);
  }

  [[nodiscard]] double drawn_depth() { return options_.ln_least_depth + depth_range() * random_.uniform(); }
  [[nodiscard]] double depth_range() const { return options_.ln_greatest_depth - options_.ln_least_depth; }
  [[nodiscard]] std::size_t drawn_boundary(std::size_t count) {
    return std::min(static_cast<std::size_t>(random_.uniform() * static_cast<double>(count)), count - 1);
  }

  void split() {
    const double depth = drawn_depth();
    const double contrast = drawn_contrast(random_);
    const double lower_share = drawn_lower_share(random_);
    if (at_.boundary_count + 1 == targets_.size()) return;
    Layers layers(at_.parameters, at_.boundary_count);
    layers.split(depth, contrast, lower_share);
    propose(at_.boundary_count + 1, layers.parameters(),
            std::log(depth_range()) - ln_contrast_density(contrast) -
                std::log(static_cast<double>(layers.boundary_count())));
  }

  void merge() {
    if (at_.boundary_count == 0) return;
    Layers layers(at_.parameters, at_.boundary_count);
    const auto count = static_cast<double>(layers.boundary_count());
    const std::size_t boundary = drawn_boundary(layers.boundary_count());
    const double contrast = layers.merge(boundary, drawn_lower_share(random_));
    propose(at_.boundary_count - 1, layers.parameters(),
            std::log(count) + ln_contrast_density(contrast) - std::log(depth_range()));
  }

  /// Thickness of a layer against its resistivity, their product or quotient kept: what readings often do not tell
  /// apart.
  void trade() {
    const std::size_t count = at_.boundary_count;
    if (count == 0) return;
    const std::size_t layer = drawn_boundary(count);
    const double lift = drawn_contrast(random_);
    const double thinning = random_.uniform() < 0.5 ? lift : -lift;
    const bool is_upper_moved = layer > 0 && random_.uniform() < 0.5;
    VectorXd point = at_.parameters;
    const Index lower = static_cast<Index>(count + 1 + layer);
    const double top_m = layer == 0 ? 0.0 : std::exp(point[lower - 1]);
    const double bottom_m = std::exp(point[lower]);
    const double thickness_m = (bottom_m - top_m) * std::exp(-thinning);
    const double moved_m = is_upper_moved ? bottom_m - thickness_m : top_m + thickness_m;
    if (!(moved_m > 0.0)) return;
    const Index moved = is_upper_moved ? lower - 1 : lower;
    const double ln_odds = point[moved] - std::log(moved_m) - thinning;  // of the change of variables
    point[static_cast<Index>(layer)] += lift;
    point[moved] = std::log(moved_m);
    propose(count, std::move(point), ln_odds);
  }

  void relocate() {
    if (at_.boundary_count == 0) return;
    Layers layers(at_.parameters, at_.boundary_count);
    const double old_contrast =
        layers.merge(drawn_boundary(layers.boundary_count()), drawn_lower_share(random_));
    const double contrast = drawn_contrast(random_);
    layers.split(drawn_depth(), contrast, drawn_lower_share(random_));
    propose(at_.boundary_count, layers.parameters(),
            ln_contrast_density(old_contrast) - ln_contrast_density(contrast));
  }

  const std::vector<Target>& targets_;
  const ChainOptions& options_;
  Random& random_;
  ChainPoint at_;
  double ln_target_ = none;
};

}  // namespace

std::vector<ChainPoint> walked(const std::vector<Target>& targets, const ChainOptions& options,
                               Random& random) {
  Chain chain(targets, options, random);
  const int start_count = options.step_count / 5;
  for (int i = 0; i < start_count; ++i)
    chain.step();
  const int between = std::max(1, (options.step_count - start_count) / options.kept_count);
  std::vector<ChainPoint> points;
  for (int i = 0; i < options.kept_count; ++i) {
    for (int j = 0; j < between; ++j)
      chain.step();
    points.push_back(chain.at());
  }
  return points;
}

}  // namespace layer_chain
