// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/earth/surface_readings.hpp>
#include <ohmroot/sounding/detail/annealing.hpp>
#include <ohmroot/sounding/posterior.hpp>

#include <Eigen/Dense>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::sounding::detail {

/// Soil of a number of layers with the readings it must explain: prior and likelihood over
/// (ln resistivities, ln depths of the boundaries, ln factors of the traverses if there are several).
class SoilModel {
public:
  /// readings: over-range ones last.
  SoilModel(const std::vector<FourPoleReading>& readings, StakeDepthRule depth_rule, int layer_count);

  /// All stated errors times a factor, where they are too small to be believed.
  void widen_errors(double factor_ratio) { ln_error_ *= factor_ratio; }

  [[nodiscard]] Target target() const;
  /// A point from one of the model with a layer less: a layer split at a depth and by a step of the prior's.
  [[nodiscard]] Eigen::VectorXd split(const Eigen::VectorXd& fewer_layers, Random& random) const;
  [[nodiscard]] earth::LayeredSoil soil_of(const Eigen::VectorXd& point) const;
  /// ln of the Wenner apparent resistivity at six spacings from the least to twice the greatest.
  [[nodiscard]] Eigen::VectorXd predictions(const Eigen::VectorXd& point) const;
  [[nodiscard]] std::string prior_words() const;
  [[nodiscard]] double ln_shallowest() const { return ln_shallowest_; }  ///< boundary of the search
  [[nodiscard]] double ln_deepest() const { return ln_deepest_; }

private:
  [[nodiscard]] Eigen::Index soil_parameter_count() const { return 2 * layer_count_ - 1; }
  [[nodiscard]] Eigen::VectorXd draw_prior(Random& random) const;
  [[nodiscard]] double ln_prior(const Eigen::VectorXd& point) const;
  [[nodiscard]] double misfit(const Eigen::VectorXd& point) const;
  [[nodiscard]] Target::Residuals residuals(const Eigen::VectorXd& point) const;
  [[nodiscard]] double residual(Eigen::Index reading, double modelled_ohm_m,
                                const Eigen::VectorXd& point) const;
  [[nodiscard]] Eigen::VectorXd apparent_ohm_m(const earth::SurfaceReadings& readings,
                                               const Eigen::VectorXd& point) const;

  Eigen::Index layer_count_;
  Eigen::Index traverse_count_ = 0;  // 0 where there is one only
  Eigen::Index reading_count_ = 0;   // before the over-range ones
  double ln_middle_ = 0.0;           // of the apparent resistivities
  double ln_shallowest_ = 0.0;
  double ln_deepest_ = 0.0;
  double ln_boundary_volume_ = 0.0;  // of all boundaries in order, as far apart as they must be
  // Apparent resistivities that the readings, and the predictions, would have over a soil.
  std::optional<earth::SurfaceReadings> readings_;
  std::optional<earth::SurfaceReadings> predictions_;
  Eigen::VectorXd ln_measured_;
  Eigen::VectorXd ln_error_;
  std::vector<Eigen::Index> traverse_;  // 0 the first
};

}  // namespace ohmroot::sounding::detail
