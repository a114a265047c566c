// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/ladder_range.hpp>
#include <ohmroot/earth/detail/layered_line.hpp>
#include <ohmroot/earth/surface_kernel.hpp>

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace ohmroot::earth {
namespace {

/// One layer's part of the recursion T_i = rho (T k + rho l) / (rho k + T l), T that of the layers below,
/// l = 1 - exp(-2 lambda h), k = 2 - l.
struct Step {
  double rho;
  double below;
  double lost;
  double kept;

  Step(const Layer& layer, double transform_below, double wavenumber_per_m)
      : rho(layer.resistivity_ohm_m), below(transform_below),
        lost(detail::one_minus_exp(2.0 * wavenumber_per_m * layer.thickness_m)), kept(2.0 - lost) {}

  [[nodiscard]] double numerator() const { return below * kept + rho * lost; }
  [[nodiscard]] double denominator() const { return rho * kept + below * lost; }
  [[nodiscard]] double transform() const { return rho * numerator() / denominator(); }
  // k^2 - l^2 = 4 (1 - l)
  [[nodiscard]] double by_below() const { return 4.0 * (1.0 - lost) * std::pow(rho / denominator(), 2.0); }
  [[nodiscard]] double by_rho() const {
    return numerator() / denominator() - 4.0 * (1.0 - lost) * rho * below / std::pow(denominator(), 2.0);
  }
  [[nodiscard]] double by_lost() const {
    return rho * (rho - below) * (denominator() + numerator()) / std::pow(denominator(), 2.0);
  }
};

/// Layers below this one are not seen at a wavenumber.
std::size_t deepest_seen(const std::vector<Layer>& layers, double wavenumber_per_m) {
  constexpr double opaque = 18.0;  // exp(-2 * 18) is not seen
  std::size_t deepest = 0;
  while (deepest + 1 < layers.size() && wavenumber_per_m * layers[deepest].thickness_m < opaque)
    ++deepest;
  return deepest;
}

/// Resistivity transform over the top resistivity, less one; soon nothing for great wavenumbers.
double transform_departure(const std::vector<Layer>& layers, double wavenumber_per_m) {
  const std::size_t deepest = deepest_seen(layers, wavenumber_per_m);
  double transform = layers[deepest].resistivity_ohm_m;
  for (std::size_t i = deepest; i-- > 0;)
    transform = Step(layers[i], transform, wavenumber_per_m).transform();
  return transform / layers[0].resistivity_ohm_m - 1.0;
}

using Row = Eigen::MatrixXd::RowXpr;

/// The same, and its derivatives by ln of each resistivity and each thickness less their limits for great
/// wavenumbers: chain rule from the top down.
void departure_and_derivatives(const std::vector<Layer>& layers, double wavenumber_per_m, Row row) {
  const std::size_t deepest = deepest_seen(layers, wavenumber_per_m);
  std::vector<Step> steps;  // from the deepest up
  steps.reserve(deepest);
  double transform = layers[deepest].resistivity_ohm_m;
  for (std::size_t i = deepest; i-- > 0;) {
    steps.emplace_back(layers[i], transform, wavenumber_per_m);
    transform = steps.back().transform();
  }
  const double top = layers[0].resistivity_ohm_m;
  const auto column = [](std::size_t i) { return static_cast<Eigen::Index>(1 + i); };
  row.setZero();
  row[0] = transform / top - 1.0;
  double chain = 1.0 / top;
  for (std::size_t i = 0; i < deepest; ++i) {
    const Step& step = steps[deepest - 1 - i];
    const double twice = 2.0 * wavenumber_per_m * layers[i].thickness_m;
    row[column(i)] = chain * step.by_rho() * step.rho;
    row[column(layers.size() + i)] = chain * step.by_lost() * twice * (1.0 - step.lost);
    chain *= step.by_below();
  }
  row[column(deepest)] = chain * layers[deepest].resistivity_ohm_m;
  row[column(0)] -= 1.0;
}

/// Result columns for the distances: sum over shifts of weight / hypot(distance, shift).
void sum_images(const std::vector<double>& squared_shifts_m2, std::span<const double> weights,
                std::span<const double> distances_m, std::span<double> results_ohm) {
  const std::size_t columns = weights.size() / squared_shifts_m2.size();
  if (results_ohm.size() != columns * distances_m.size())
    throw DomainError("results_ohm", static_cast<double>(results_ohm.size()), "1", "as many as distances");
  for (const double distance_m : distances_m)
    require_positive("distances_m", distance_m, "m");
  const auto count = static_cast<Eigen::Index>(distances_m.size());
  const Eigen::ArrayXd squares = Eigen::Map<const Eigen::ArrayXd>(distances_m.data(), count).square();
  Eigen::Map<Eigen::ArrayXXd> results(results_ohm.data(), count, static_cast<Eigen::Index>(columns));
  results.setZero();
  Eigen::ArrayXd image(count);
  for (std::size_t j = 0; j < squared_shifts_m2.size(); ++j) {
    image = (squares + squared_shifts_m2[j]).rsqrt();
    for (std::size_t c = 0; c < columns; ++c)
      results.col(static_cast<Eigen::Index>(c)) += weights[c * squared_shifts_m2.size() + j] * image;
  }
}

}  // namespace

SurfaceKernel::SurfaceKernel(const LayeredSoil& soil, Derivatives derivatives)
    : parameter_count_(2 * soil.layers().size() - 1),
      column_count_(derivatives == Derivatives::by_layer ? 1 + parameter_count_ : 1) {
  const auto& layers = soil.layers();
  const double half_space = layers[0].resistivity_ohm_m / (2.0 * std::numbers::pi);
  squared_shifts_m2_ = {0.0};
  if (soil.is_uniform()) {
    weights_ohm_m_.assign(column_count_, half_space);
    return;
  }
  double thinnest_m = std::numeric_limits<double>::infinity();
  double total_m = 0.0;
  for (std::size_t i = 0; i + 1 < layers.size(); ++i) {
    thinnest_m = std::min(thinnest_m, layers[i].thickness_m);
    total_m += layers[i].thickness_m;
  }
  const double limit = transform_departure(layers, 0.0);
  const double static_per_m = detail::nearly_static_per_m(1.0 / total_m, [&](double wavenumber_per_m) {
    return std::abs(transform_departure(layers, wavenumber_per_m) - limit) / (1.0 + limit);
  });
  const detail::ExponentialLadder ladder(detail::checked_range({thinnest_m, static_per_m}));
  const auto& wavenumbers = ladder.wavenumbers_per_m();
  Eigen::MatrixXd values(static_cast<Eigen::Index>(wavenumbers.size()),
                         static_cast<Eigen::Index>(column_count_));
  for (std::size_t k = 0; k < wavenumbers.size(); ++k) {
    const auto row = static_cast<Eigen::Index>(k);
    if (derivatives == Derivatives::by_layer)
      departure_and_derivatives(layers, wavenumbers[k], values.row(row));
    else
      values(row, 0) = transform_departure(layers, wavenumbers[k]);
  }
  for (const double shift_m : ladder.shifts_m())
    squared_shifts_m2_.push_back(shift_m * shift_m);
  const Eigen::MatrixXd rungs = half_space * ladder.fit(values);
  for (Eigen::Index c = 0; c < rungs.cols(); ++c) {
    // For great wavenumbers the transform is the top resistivity: so is its derivative by ln of that; all others vanish.
    weights_ohm_m_.push_back(c <= 1 ? half_space : 0.0);
    weights_ohm_m_.insert(weights_ohm_m_.end(), rungs.col(c).begin(), rungs.col(c).end());
  }
}

void SurfaceKernel::potentials_ohm(std::span<const double> distances_m, std::span<double> results_ohm) const {
  sum_images(squared_shifts_m2_, std::span(weights_ohm_m_).first(squared_shifts_m2_.size()), distances_m,
             results_ohm);
}

void SurfaceKernel::derivatives_ohm(std::span<const double> distances_m,
                                    std::span<double> results_ohm) const {
  if (column_count_ == 1) throw DomainError("derivatives", "none", "by_layer when the kernel was made");
  sum_images(squared_shifts_m2_, std::span(weights_ohm_m_).subspan(squared_shifts_m2_.size()), distances_m,
             results_ohm);
}

}  // namespace ohmroot::earth
