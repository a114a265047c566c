// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/exponential_ladder.hpp>
#include <ohmroot/earth/surface_readings.hpp>

#include <Eigen/Dense>

#include <cmath>
#include <numbers>

namespace ohmroot::earth {
namespace {

using Eigen::ArrayXd;
using Eigen::Index;
using Eigen::MatrixXd;
using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

constexpr double beyond_deepest = 300.0;  // greatest shift of an image over the deepest boundary
constexpr double least_share =
    1e-7;  // of a reading, by a departure of one: a wavenumber with less is left out

void require_reach(const SurfaceReadings::Reach& reach) {
  require_positive("reach.thinnest_m", reach.thinnest_m, "m");
  require_positive("reach.deepest_m", reach.deepest_m, "m");
  if (reach.deepest_m < reach.thinnest_m)
    throw DomainError("reach.deepest_m", reach.deepest_m, "m", "not less than the thinnest layer");
}

}  // namespace

SurfaceReadings::SurfaceReadings(const std::vector<std::vector<Term>>& readings, const Reach& reach) {
  require_reach(reach);
  const detail::ExponentialLadder ladder({0.7 * reach.thinnest_m, beyond_deepest * reach.deepest_m});
  const auto& wavenumbers = ladder.wavenumbers_per_m();
  const auto& shifts_m = ladder.shifts_m();
  const auto count = static_cast<Index>(readings.size());
  const auto sample_count = static_cast<Index>(wavenumbers.size());
  MatrixXd by_image = MatrixXd::Zero(count, static_cast<Index>(shifts_m.size()));
  for (Index i = 0; i < count; ++i) {
    double at_surface = 0.0;
    for (const Term& term : readings[static_cast<std::size_t>(i)]) {
      require_positive("term.distance_m", term.distance_m, "m");
      at_surface += term.weight_ratio / term.distance_m;
      for (std::size_t j = 0; j < shifts_m.size(); ++j)
        by_image(i, static_cast<Index>(j)) += term.weight_ratio / std::hypot(term.distance_m, shifts_m[j]);
    }
    at_surface_per_m_.push_back(at_surface / (2.0 * std::numbers::pi));
  }
  // The ladder's fit is linear in the departures at its wavenumbers.
  const MatrixXd by_departure =
      by_image * ladder.fit(MatrixXd::Identity(sample_count, sample_count)) / (2.0 * std::numbers::pi);
  const ArrayXd scale = Eigen::Map<const ArrayXd>(at_surface_per_m_.data(), count).abs();
  std::vector<Index> kept;
  for (Index k = 0; k < sample_count; ++k)
    if ((by_departure.col(k).array().abs() / scale).maxCoeff() > least_share) kept.push_back(k);
  for (const Index k : kept)
    wavenumbers_per_m_.push_back(wavenumbers[static_cast<std::size_t>(k)]);
  for (Index i = 0; i < count; ++i)
    for (const Index k : kept)
      by_departure_per_m_.push_back(by_departure(i, k));
}

void SurfaceReadings::require_sizes(std::span<const double> resistivities_ohm_m,
                                    std::span<const double> depths_m, std::span<double> results_ohm) const {
  if (resistivities_ohm_m.size() != depths_m.size() + 1)
    throw DomainError("depths_m", static_cast<double>(depths_m.size()), "", "one less than resistivities");
  if (results_ohm.size() != count())
    throw DomainError("results_ohm", static_cast<double>(results_ohm.size()), "", "as many as readings");
}

void SurfaceReadings::resistances_ohm(std::span<const double> resistivities_ohm_m,
                                      std::span<const double> depths_m, std::span<double> results_ohm) const {
  require_sizes(resistivities_ohm_m, depths_m, results_ohm);
  const auto wavenumber_count = static_cast<Index>(wavenumbers_per_m_.size());
  const Eigen::Map<const ArrayXd> wavenumbers(wavenumbers_per_m_.data(), wavenumber_count);
  // Resistivity transform from the bottom up: T_i = rho (T k + rho l) / (rho k + T l), T that of the layers below,
  // l = 1 - exp(-2 lambda h), k = 2 - l.
  ArrayXd transform = ArrayXd::Constant(wavenumber_count, resistivities_ohm_m.back());
  ArrayXd echo(wavenumber_count);
  for (std::size_t i = depths_m.size(); i-- > 0;) {
    const double rho = resistivities_ohm_m[i];
    const double thickness_m = depths_m[i] - (i == 0 ? 0.0 : depths_m[i - 1]);
    echo = (-2.0 * thickness_m * wavenumbers).exp();
    transform = rho * ((1.0 + echo) * transform + rho * (1.0 - echo)) /
                (rho * (1.0 + echo) + transform * (1.0 - echo));
  }
  const double top = resistivities_ohm_m.front();
  const auto reading_count = static_cast<Index>(count());
  const Eigen::Map<const Rows> by_departure(by_departure_per_m_.data(), reading_count, wavenumber_count);
  Eigen::Map<Eigen::VectorXd> results(results_ohm.data(), reading_count);
  results.noalias() = by_departure * (transform - top).matrix();
  results += top * Eigen::Map<const Eigen::VectorXd>(at_surface_per_m_.data(), reading_count);
}

void SurfaceReadings::resistances_and_slopes_ohm(std::span<const double> resistivities_ohm_m,
                                                 std::span<const double> depths_m,
                                                 std::span<double> results_ohm,
                                                 std::span<double> slopes) const {
  require_sizes(resistivities_ohm_m, depths_m, results_ohm);
  const std::size_t layer_count = resistivities_ohm_m.size();
  if (slopes.size() != count() * (2 * layer_count - 1))
    throw DomainError("slopes", static_cast<double>(slopes.size()), "",
                      "as many as readings times resistivities and depths");
  const auto wavenumber_count = static_cast<Index>(wavenumbers_per_m_.size());
  const Eigen::Map<const ArrayXd> wavenumbers(wavenumbers_per_m_.data(), wavenumber_count);
  // What depends on the soil at each wavenumber: the transform of the whole, and its slopes.
  Eigen::ArrayXXd columns(wavenumber_count, static_cast<Index>(2 * layer_count));
  const auto by_rho = [&](std::size_t i) { return columns.col(static_cast<Index>(1 + i)); };
  const auto by_thickness = [&](std::size_t i) {
    return columns.col(static_cast<Index>(1 + layer_count + i));
  };
  Eigen::ArrayXXd by_below(wavenumber_count, static_cast<Index>(layer_count));
  ArrayXd transform = ArrayXd::Constant(wavenumber_count, resistivities_ohm_m.back());
  ArrayXd echo(wavenumber_count), numerator(wavenumber_count), denominator(wavenumber_count);
  for (std::size_t i = depths_m.size(); i-- > 0;) {
    const double rho = resistivities_ohm_m[i];
    const double thickness_m = depths_m[i] - (i == 0 ? 0.0 : depths_m[i - 1]);
    echo = (-2.0 * thickness_m * wavenumbers).exp();
    numerator = transform * (1.0 + echo) + rho * (1.0 - echo);
    denominator = rho * (1.0 + echo) + transform * (1.0 - echo);
    // k^2 - l^2 = 4 exp(-2 lambda h)
    by_below.col(static_cast<Index>(i)) = 4.0 * echo * (rho / denominator).square();
    by_rho(i) = numerator / denominator - 4.0 * echo * rho * transform / denominator.square();
    by_thickness(i) =
        rho * (rho - transform) * (denominator + numerator) / denominator.square() * 2.0 * wavenumbers * echo;
    transform = rho * numerator / denominator;
  }
  ArrayXd chain = ArrayXd::Ones(wavenumber_count);  // from the top down
  for (std::size_t i = 0; i + 1 < layer_count; ++i) {
    by_rho(i) *= chain;
    by_thickness(i) *= chain;
    chain *= by_below.col(static_cast<Index>(i));
  }
  by_rho(layer_count - 1) = chain;
  for (std::size_t i = 0; i + 2 < layer_count;
       ++i)  // a boundary thickens the layer above and thins the one below
    by_thickness(i) -= by_thickness(i + 1);
  columns.col(0) = transform - resistivities_ohm_m.front();
  by_rho(0) -= 1.0;

  const auto reading_count = static_cast<Index>(count());
  const Eigen::Map<const Rows> by_departure(by_departure_per_m_.data(), reading_count, wavenumber_count);
  const Eigen::Map<const Eigen::VectorXd> at_surface(at_surface_per_m_.data(), reading_count);
  const MatrixXd all = by_departure * columns.matrix();
  Eigen::Map<Eigen::VectorXd>(results_ohm.data(), reading_count) =
      all.col(0) + resistivities_ohm_m.front() * at_surface;
  Eigen::Map<MatrixXd> by_parameter(slopes.data(), reading_count, static_cast<Index>(2 * layer_count - 1));
  by_parameter = all.rightCols(by_parameter.cols());
  by_parameter.col(0) += at_surface;
}

}  // namespace ohmroot::earth
