// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/soil_model.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

// Standard deviations of the prior, of natural logarithms.
constexpr double top_spread = 1.5;       // of the first layer about the middle of the apparent resistivities
constexpr double contrast_spread = 1.5;  // from one layer to the next: 90 % within a factor of 12
constexpr double traverse_spread = 0.1;  // of the factor of each traverse, if there are several
// Boundaries: evenly in ln depth, between these times the least and the greatest plotted spacing.
constexpr double shallowest_ratio = 0.2;
constexpr double deepest_ratio = 1.0;
constexpr double least_gap =
    0.1;  // of ln depth, from one boundary to the next: no reading sees a thinner layer
// Residuals beyond this many errors count linearly, so that one bad reading does not rule (Huber, Ann. Math.
// Statist. 35 (1964) 73, from memory).
constexpr double linear_from = 2.0;

/// Minus ln of a normal density about 0.
double minus_ln_normal(double value, double spread) {
  return 0.5 * (value / spread) * (value / spread) + std::log(spread) +
         0.5 * std::log(2.0 * std::numbers::pi);
}

}  // namespace

SoilModel::SoilModel(const std::vector<FourPoleReading>& readings, StakeDepthRule depth_rule, int layer_count)
    : layer_count_(layer_count) {
  const auto count = static_cast<Index>(readings.size());
  factors_m_.resize(count);
  ln_measured_.resize(count);
  ln_error_.resize(count);
  double least_m = std::numeric_limits<double>::infinity();
  double greatest_m = 0.0;
  for (Index i = 0; i < count; ++i) {
    const FourPoleReading& reading = readings[static_cast<std::size_t>(i)];
    require_within("reading.relative_error_ratio", reading.relative_error_ratio, "", {1e-6, 1.0});
    ln_measured_[i] = std::log(apparent_resistivity_ohm_m(as_shown(reading), depth_rule));
    ln_error_[i] = reading.relative_error_ratio;
    if (!reading.is_lower_bound) reading_count_ = i + 1;
    FourPoleReading at_surface = reading;
    at_surface.driven_depth_m = 0.0;
    factors_m_[i] = geometric_factor_m(at_surface, StakeDepthRule::handbook);
    for (const PotentialTerm& term : potential_terms(reading)) {
      distances_m_.push_back(term.distance_m);
      weights_.push_back(term.weight_ratio);
    }
    ends_.push_back(distances_m_.size());
    const double spacing_m = plotted_spacing_m(reading);
    least_m = std::min(least_m, spacing_m);
    greatest_m = std::max(greatest_m, spacing_m);
  }
  for (const std::size_t traverse : traverse_indices(readings))
    traverse_.push_back(static_cast<Index>(traverse));
  const Index last_traverse = *std::max_element(traverse_.begin(), traverse_.end());
  if (last_traverse > 0) traverse_count_ = last_traverse + 1;
  ln_middle_ = ln_measured_.head(reading_count_).mean();
  ln_shallowest_ = std::log(shallowest_ratio * least_m);
  ln_deepest_ = std::log(std::max(deepest_ratio * greatest_m, 2.0 * shallowest_ratio * least_m));
  const int boundary_count = layer_count - 1;
  const double free_length = ln_deepest_ - ln_shallowest_ - (boundary_count - 1) * least_gap;
  if (boundary_count > 0)
    ln_boundary_volume_ = boundary_count * std::log(free_length) - std::lgamma(boundary_count + 1.0);
}

Target SoilModel::target() const {
  return {[this](Random& random) { return draw_prior(random); },
          [this](const VectorXd& point) { return ln_prior(point); },
          [this](const VectorXd& point) { return misfit(point); }, static_cast<double>(reading_count_)};
}

VectorXd SoilModel::draw_prior(Random& random) const {
  VectorXd point = VectorXd::Zero(soil_parameter_count() + traverse_count_);
  for (Index i = 0; i < layer_count_; ++i)
    point[i] =
        i == 0 ? ln_middle_ + top_spread * random.normal() : point[i - 1] + contrast_spread * random.normal();
  for (Index i = layer_count_; i < soil_parameter_count(); ++i)
    point[i] = ln_shallowest_ + (ln_deepest_ - ln_shallowest_) * random.uniform();
  std::sort(point.begin() + layer_count_, point.begin() + soil_parameter_count());
  if (std::isinf(ln_prior(point))) return draw_prior(random);  // two boundaries too near to each other
  for (Index i = soil_parameter_count(); i < point.size(); ++i)
    point[i] = traverse_spread * random.normal();
  return point;
}

double SoilModel::ln_prior(const VectorXd& point) const {
  double sum = ln_boundary_volume_ + minus_ln_normal(point[0] - ln_middle_, top_spread);
  for (Index i = 1; i < layer_count_; ++i)
    sum += minus_ln_normal(point[i] - point[i - 1], contrast_spread);
  for (Index i = layer_count_; i < soil_parameter_count(); ++i) {
    const double above = i == layer_count_ ? ln_shallowest_ : point[i - 1] + least_gap;
    if (!(point[i] > above && point[i] < ln_deepest_)) return -std::numeric_limits<double>::infinity();
  }
  for (Index i = soil_parameter_count(); i < point.size(); ++i)
    sum += minus_ln_normal(point[i], traverse_spread);
  return -sum;
}

earth::LayeredSoil SoilModel::soil_of(const VectorXd& point) const {
  std::vector<earth::Layer> layers;
  double top_m = 0.0;
  for (Index i = 0; i < layer_count_; ++i) {
    const bool is_last = i + 1 == layer_count_;
    const double bottom_m =
        is_last ? std::numeric_limits<double>::infinity() : std::exp(point[layer_count_ + i]);
    layers.push_back({std::exp(point[i]), std::max(bottom_m - top_m, 1e-6)});
    top_m = bottom_m;
  }
  return earth::LayeredSoil(std::move(layers));
}

double SoilModel::misfit(const VectorXd& point) const {
  constexpr double hopeless = 1e12;  // where the fast kernel loses a difference altogether
  std::vector<double> potentials_ohm(distances_m_.size());
  earth::SurfaceKernel(soil_of(point)).potentials_ohm(distances_m_, potentials_ohm);
  double sum = 0.0;
  std::size_t term = 0;
  for (Index i = 0; i < ln_measured_.size(); ++i) {
    double modelled_ohm = 0.0;
    for (; term < ends_[static_cast<std::size_t>(i)]; ++term)
      modelled_ohm += weights_[term] * potentials_ohm[term];
    const double modelled_ohm_m = factors_m_[i] * modelled_ohm;
    if (!(modelled_ohm_m > 0.0)) return hopeless;
    const Index traverse = traverse_[static_cast<std::size_t>(i)];
    const double shift = traverse_count_ == 0 ? 0.0 : point[soil_parameter_count() + traverse];
    const double residual =
        residual_of(ln_measured_[i] - std::log(modelled_ohm_m) - shift, i >= reading_count_);
    const double off = std::abs(residual) / ln_error_[i];
    sum += off <= linear_from ? off * off : linear_from * (2.0 * off - linear_from);
  }
  return sum;
}

VectorXd SoilModel::predictions(const VectorXd& point) const {
  constexpr int count = 6;
  const double from = ln_shallowest_ - std::log(shallowest_ratio);
  const double to = ln_deepest_ - std::log(deepest_ratio) + std::log(2.0);
  std::vector<double> distances_m;
  for (int i = 0; i < count; ++i) {
    const double spacing_m = std::exp(from + (to - from) * i / (count - 1));
    distances_m.push_back(spacing_m);
    distances_m.push_back(2.0 * spacing_m);
  }
  std::vector<double> potentials_ohm(distances_m.size());
  earth::SurfaceKernel(soil_of(point)).potentials_ohm(distances_m, potentials_ohm);
  VectorXd result(count);
  for (int i = 0; i < count; ++i) {
    const auto pair = static_cast<std::size_t>(2 * i);
    const double difference_ohm = potentials_ohm[pair] - potentials_ohm[pair + 1];
    result[i] = std::log(4.0 * std::numbers::pi * distances_m[pair] * std::max(difference_ohm, 1e-300));
  }
  return result;
}

std::string SoilModel::prior_words() const {
  return fmt::format(
      "ln of the top resistivity normal about that of {} (the middle of the apparent resistivities) with "
      "standard "
      "deviation {}; ln of the ratio from each layer to the next normal about 0 with {}; boundaries even in "
      "ln depth "
      "from {} to {}; numbers of layers alike; precision of the readings over the stated one gamma "
      "distributed about 1 with a relative "
      "standard deviation of a half{}; our "
      "judgement",
      format_quantity(std::exp(ln_middle_), Dimension::resistivity), format_number(top_spread),
      format_number(contrast_spread), format_quantity(std::exp(ln_shallowest_), Dimension::length),
      format_quantity(std::exp(ln_deepest_), Dimension::length),
      traverse_count_ > 0 ? fmt::format(", ln of the factor of each traverse normal about 0 with {}",
                                        format_number(traverse_spread))
                          : "");
}

}  // namespace ohmroot::sounding::detail
