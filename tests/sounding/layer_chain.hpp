// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/annealing.hpp>

#include <Eigen/Dense>

#include <cstddef>
#include <vector>

/// An independent route to the posterior: a walk with reversible jumps (Green, Biometrika 82 (1995) 711; for layers:
/// Malinverno, Geophys. J. Int. 151 (2002) 675; both from memory). It needs no idea of where the posterior lies and
/// hundreds of times the work.
namespace layer_chain {

using ohmroot::sounding::detail::Random;
using ohmroot::sounding::detail::Target;

/// A soil of the chain: ln resistivities from the top, ln depths of the boundaries, further parameters that do not
/// depend on the number of layers.
struct ChainPoint {
  std::size_t boundary_count = 0;
  Eigen::VectorXd parameters;
};

struct ChainOptions {
  double ln_least_depth = 0.0;     // ln of m; new boundaries are set between here
  double ln_greatest_depth = 0.0;  // ln of m; and here
  int step_count = 0;
  int kept_count = 0;  ///< points returned, at equal steps of the last four fifths
};

/// targets: one layer first, where the walk begins. A layer is split at some depth or two are merged, a boundary is
/// taken out and set elsewhere, thickness and resistivity of a layer are traded, one parameter is changed.
[[nodiscard]] std::vector<ChainPoint> walked(const std::vector<Target>& targets, const ChainOptions& options,
                                             Random& random);

}  // namespace layer_chain
