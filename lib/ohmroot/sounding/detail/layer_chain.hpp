// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/annealing.hpp>
#include <ohmroot/sounding/detail/cloud_density.hpp>

#include <Eigen/Dense>

#include <cstddef>
#include <vector>

namespace ohmroot::sounding::detail {

/// One number of layers as a chain sees it: what is sampled, and roughly where.
struct LayerTarget {
  Target target;
  CloudDensity cloud;
  double jump_share_ratio = 0.0;  ///< of the independent jumps that lead here; 0: none do
};

/// A soil of the chain: ln resistivities from the top, ln depths of the boundaries, further parameters that do not
/// depend on the number of layers.
struct ChainPoint {
  std::size_t boundary_count = 0;
  Eigen::VectorXd parameters;
};

struct ChainOptions {
  double ln_least_depth = 0.0;     // unit: none; ln of m; new boundaries are set between here
  double ln_greatest_depth = 0.0;  // unit: none; ln of m; and here
  int step_count = 0;
  int kept_count = 0;  ///< points returned, at equal steps of the last four fifths
};

/// A walk through soils of all numbers of layers (targets: one layer first), each visited as often as prior and
/// likelihood say: reversible jumps (Green, Biometrika 82 (1995) 711; for layers: Malinverno, Geophys. J. Int. 151
/// (2002) 675; both from memory). A layer is split at some depth or two are merged, a boundary is taken out and set
/// elsewhere, one parameter is changed, steps follow the shape of the clouds, and independent jumps lead from one number of layers to another.
/// Wherever the clouds lie, the walk is right; it is short where they lie well.
[[nodiscard]] std::vector<ChainPoint> walked(const std::vector<LayerTarget>& targets,
                                             const ChainOptions& options, Random& random);

}  // namespace ohmroot::sounding::detail
