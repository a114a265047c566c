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

void SurfaceReadings::resistances_ohm(std::span<const double> resistivities_ohm_m,
                                      std::span<const double> depths_m, std::span<double> results_ohm) const {
  if (resistivities_ohm_m.size() != depths_m.size() + 1)
    throw DomainError("depths_m", static_cast<double>(depths_m.size()), "", "one less than resistivities");
  if (results_ohm.size() != count())
    throw DomainError("results_ohm", static_cast<double>(results_ohm.size()), "", "as many as readings");
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
  using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const Rows> by_departure(by_departure_per_m_.data(), reading_count, wavenumber_count);
  Eigen::Map<Eigen::VectorXd> results(results_ohm.data(), reading_count);
  results.noalias() = by_departure * (transform - top).matrix();
  results += top * Eigen::Map<const Eigen::VectorXd>(at_surface_per_m_.data(), reading_count);
}

}  // namespace ohmroot::earth
