// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/robust.hpp>
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
constexpr double top_spread = 1.5;  // of the first layer about the middle of the apparent resistivities
// Step from one layer to the next, c = ln of the ratio: c^2 times a normal density of this spread, so that a boundary
// which changes nothing is none. 90 % of the steps are by a factor of 1.7 to 12, either way (judgement; densities of
// that form: Johnson and Rossell, J. R. Stat. Soc. B 72 (2010) 143, from memory).
constexpr double contrast_spread = 0.9;
constexpr double further_layer_ratio = 1.0 / 3.0;  // how likely one layer more is (judgement)
constexpr double traverse_spread = 0.1;            // of the factor of each traverse, if there are several
// Boundaries: evenly in ln depth, between these times the least and the greatest plotted spacing.
constexpr double shallowest_ratio = 0.2;
constexpr double deepest_ratio = 1.0;
constexpr double least_gap =
    0.1;  // of ln depth, from one boundary to the next: no reading sees a thinner layer

/// Minus ln of a normal density about 0.
double minus_ln_normal(double value, double spread) {
  return 0.5 * (value / spread) * (value / spread) + std::log(spread) +
         0.5 * std::log(2.0 * std::numbers::pi);
}

/// Minus ln of c^2 times a normal density, which integrates to 1.
double minus_ln_contrast(double contrast) {
  return minus_ln_normal(contrast, contrast_spread) - 2.0 * std::log(std::abs(contrast) / contrast_spread);
}

/// The length of three normals has the density that minus_ln_contrast() has on one side.
double drawn_contrast(Random& random) {
  const double x = random.normal(), y = random.normal(), z = random.normal();
  const double size = contrast_spread * std::sqrt(x * x + y * y + z * z);
  return random.uniform() < 0.5 ? size : -size;
}

struct Spacings {
  double least_m;
  double greatest_m;
};

/// Of six Wenner readings, as apparent resistivities: 4 pi a (potential at a less potential at 2 a).
std::vector<std::vector<earth::SurfaceReadings::Term>> wenner_terms(const Spacings& ends) {
  constexpr int count = 6;
  std::vector<std::vector<earth::SurfaceReadings::Term>> terms;
  for (int i = 0; i < count; ++i) {
    const double spacing_m =
        ends.least_m * std::pow(ends.greatest_m / ends.least_m, static_cast<double>(i) / (count - 1));
    const double factor_m = 4.0 * std::numbers::pi * spacing_m;
    terms.push_back({{spacing_m, factor_m}, {2.0 * spacing_m, -factor_m}});
  }
  return terms;
}

}  // namespace

SoilModel::SoilModel(const std::vector<FourPoleReading>& readings, StakeDepthRule depth_rule, int layer_count)
    : layer_count_(layer_count) {
  const auto count = static_cast<Index>(readings.size());
  std::vector<std::vector<earth::SurfaceReadings::Term>> terms(readings.size());
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
    const double factor_m = geometric_factor_m(at_surface, StakeDepthRule::handbook);
    for (const PotentialTerm& term : potential_terms(reading))
      terms[static_cast<std::size_t>(i)].push_back({term.distance_m, factor_m * term.weight_ratio});
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
  const earth::SurfaceReadings::Reach reach{std::expm1(least_gap) * std::exp(ln_shallowest_),
                                            std::exp(ln_deepest_)};
  readings_.emplace(terms, reach);
  predictions_.emplace(wenner_terms({least_m, 2.0 * greatest_m}), reach);
}

Target SoilModel::target() const {
  return {[this](Random& random) { return draw_prior(random); },
          [this](const VectorXd& point) { return ln_prior(point); },
          [this](const VectorXd& point) { return misfit(point); }, static_cast<double>(reading_count_),
          [this](const VectorXd& point) { return residuals(point); }};
}

VectorXd SoilModel::draw_prior(Random& random) const {
  VectorXd point = VectorXd::Zero(soil_parameter_count() + traverse_count_);
  for (Index i = 0; i < layer_count_; ++i)
    point[i] = i == 0 ? ln_middle_ + top_spread * random.normal() : point[i - 1] + drawn_contrast(random);
  for (Index i = layer_count_; i < soil_parameter_count(); ++i)
    point[i] = ln_shallowest_ + (ln_deepest_ - ln_shallowest_) * random.uniform();
  std::sort(point.begin() + layer_count_, point.begin() + soil_parameter_count());
  if (std::isinf(ln_prior(point))) return draw_prior(random);  // two boundaries too near to each other
  for (Index i = soil_parameter_count(); i < point.size(); ++i)
    point[i] = traverse_spread * random.normal();
  return point;
}

double SoilModel::ln_prior(const VectorXd& point) const {
  double sum = ln_boundary_volume_ + minus_ln_normal(point[0] - ln_middle_, top_spread) -
               static_cast<double>(layer_count_ - 1) * std::log(further_layer_ratio);
  for (Index i = 1; i < layer_count_; ++i) {
    if (point[i] == point[i - 1]) return -std::numeric_limits<double>::infinity();
    sum += minus_ln_contrast(point[i] - point[i - 1]);
  }
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

VectorXd SoilModel::apparent_ohm_m(const earth::SurfaceReadings& readings, const VectorXd& point) const {
  const VectorXd values = point.head(soil_parameter_count()).array().exp();
  const auto layer_count = static_cast<std::size_t>(layer_count_);
  VectorXd result(static_cast<Index>(readings.count()));
  readings.resistances_ohm({values.data(), layer_count}, {values.data() + layer_count_, layer_count - 1},
                           {result.data(), readings.count()});
  return result;
}

/// In units of its error.
double SoilModel::residual(Index reading, double modelled_ohm_m, const VectorXd& point) const {
  const Index traverse = traverse_[static_cast<std::size_t>(reading)];
  const double shift = traverse_count_ == 0 ? 0.0 : point[soil_parameter_count() + traverse];
  return residual_of(ln_measured_[reading] - std::log(modelled_ohm_m) - shift, reading >= reading_count_) /
         ln_error_[reading];
}

double SoilModel::misfit(const VectorXd& point) const {
  constexpr double hopeless = 1e12;  // where the kernel loses a difference altogether
  const VectorXd modelled_ohm_m = apparent_ohm_m(*readings_, point);
  if (!(modelled_ohm_m.minCoeff() > 0.0)) return hopeless;
  double sum = 0.0;
  for (Index i = 0; i < modelled_ohm_m.size(); ++i)
    sum += robust_square(residual(i, modelled_ohm_m[i], point));
  return sum;
}

Target::Residuals SoilModel::residuals(const VectorXd& point) const {
  constexpr double least_ohm_m = 1e-300;  // where the kernel loses a difference altogether
  const Index count = ln_measured_.size();
  const auto layer_count = static_cast<std::size_t>(layer_count_);
  const VectorXd values = point.head(soil_parameter_count()).array().exp();
  VectorXd modelled_ohm_m(count);
  Target::Residuals result{VectorXd(count), Eigen::MatrixXd::Zero(count, point.size())};
  readings_->resistances_and_slopes_ohm(
      {values.data(), layer_count}, {values.data() + layer_count_, layer_count - 1},
      {modelled_ohm_m.data(), readings_->count()},
      {result.slopes.data(), readings_->count() * static_cast<std::size_t>(soil_parameter_count())});
  for (Index i = 0; i < count; ++i) {
    const double modelled = std::max(modelled_ohm_m[i], least_ohm_m);
    result.values[i] = residual(i, modelled, point);
    const bool is_silent = result.values[i] == 0.0 && i >= reading_count_;
    result.slopes.row(i).head(soil_parameter_count()).array() *=
        values.transpose().array() * (is_silent ? 0.0 : -1.0 / (modelled * ln_error_[i]));
    if (traverse_count_ > 0 && !is_silent)
      result.slopes(i, soil_parameter_count() + traverse_[static_cast<std::size_t>(i)]) = -1.0 / ln_error_[i];
  }
  return result;
}

VectorXd SoilModel::split(const VectorXd& fewer_layers, Random& random) const {
  constexpr int greatest_try_count = 100;
  const Index fewer = layer_count_ - 1;
  const auto boundaries = fewer_layers.segment(fewer, fewer - 1);
  VectorXd point(fewer_layers.size() + 2);
  point.tail(traverse_count_) = fewer_layers.tail(traverse_count_);
  for (int i = 0; i < greatest_try_count; ++i) {
    const double ln_depth = ln_shallowest_ + (ln_deepest_ - ln_shallowest_) * random.uniform();
    const double contrast = drawn_contrast(random);
    const double lower_share = random.uniform();
    const auto at = std::upper_bound(boundaries.begin(), boundaries.end(), ln_depth) - boundaries.begin();
    point.head(at + 1) = fewer_layers.head(at + 1);
    point.segment(at + 1, fewer - at) = fewer_layers.segment(at, fewer - at);
    point[at] -= (1.0 - lower_share) * contrast;
    point[at + 1] += lower_share * contrast;
    point.segment(layer_count_, at) = boundaries.head(at);
    point[layer_count_ + at] = ln_depth;
    point.segment(layer_count_ + at + 1, fewer - 1 - at) = boundaries.tail(fewer - 1 - at);
    if (!std::isinf(ln_prior(point))) return point;
  }
  return draw_prior(random);  // there is no room between these boundaries
}

VectorXd SoilModel::predictions(const VectorXd& point) const {
  return apparent_ohm_m(*predictions_, point).cwiseMax(1e-300).array().log();
}

std::string SoilModel::prior_words() const {
  return fmt::format(
      "ln of the top resistivity normal about that of {} (the middle of the apparent resistivities) with "
      "standard "
      "deviation {}; the step c from each layer to the next, ln of their ratio, with a density that goes "
      "with c^2 "
      "exp(-c^2 / (2 x {}^2)): a boundary that changes nothing is none; boundaries even in ln depth from {} "
      "to {}; "
      "each further layer {} times as likely as the number before; precision of the readings over the stated "
      "one "
      "gamma distributed about 1 with a relative standard deviation of {}{}; our judgement",
      format_quantity(std::exp(ln_middle_), Dimension::resistivity), format_number(top_spread),
      format_number(contrast_spread), format_quantity(std::exp(ln_shallowest_), Dimension::length),
      format_quantity(std::exp(ln_deepest_), Dimension::length), format_number(further_layer_ratio),
      format_number(error_factor_spread_ratio(), 2),
      traverse_count_ > 0 ? fmt::format(", ln of the factor of each traverse normal about 0 with {}",
                                        format_number(traverse_spread))
                          : "");
}

}  // namespace ohmroot::sounding::detail
