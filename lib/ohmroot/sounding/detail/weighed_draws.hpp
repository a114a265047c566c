// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/soil_model.hpp>

#include <Eigen/Dense>

#include <cstddef>
#include <cstdint>
#include <vector>

namespace ohmroot::sounding::detail {

/// A soil and how much it counts: ln resistivities from the top, ln depths of the boundaries, further parameters that do
/// not depend on the number of layers.
struct WeighedPoint {
  std::size_t boundary_count = 0;
  Eigen::VectorXd parameters;
  double weight_ratio = 0.0;
};
using WeighedPoints = std::vector<WeighedPoint>;

struct WeighingOptions {
  int draw_count = 0;  ///< in the last round, over all numbers of layers
  std::uint64_t seed = 1;
};

/// Soils drawn from mixtures of kernels that have been fitted to the posterior of each number of layers, one layer first,
/// and weighed by posterior over mixture: adaptive importance sampling (Cappe and others, Stat. Comput. 18 (2008) 447,
/// from memory). Weights of different numbers of layers are on one scale, so that they are shared out by their evidence.
///
/// Four scouts, independent of each other, find where the posterior lies: one and two layers by annealing from the
/// prior, each layer more by splitting soils of one layer less at a depth and by a contrast of the prior's. Their
/// kernels are pooled. Draws that weigh more than usual show what is covered too thinly: they become kernels, and all is
/// drawn anew, until the effective number of draws is enough or some rounds have passed.
/// Returned are four independent parts.
[[nodiscard]] std::vector<WeighedPoints> weighed_draws(const std::vector<SoilModel>& models,
                                                       const WeighingOptions& options);

/// Equally likely draws that tell as much: (sum w)^2 / sum w^2 (Kish, Survey Sampling, 1965, from memory).
[[nodiscard]] double effective_count(const std::vector<WeighedPoints>& parts);

}  // namespace ohmroot::sounding::detail
