// SPDX-License-Identifier: MIT
#pragma once

#include <complex>
#include <span>

namespace ohmroot::earth::detail {

/// A point of the ray arg z = 45 degrees with its weight, such that for a function f without poles where
/// Re z > 0 that is real on the real axis
///   int_0^inf f(lambda) J0(lambda r) d lambda = (1/r) Re sum of weight f(z / r)          (order 0)
///   int_0^inf f(lambda) J1(lambda r) lambda d lambda = (1/r^2) Re sum of weight f(z / r)  (order 1)
/// Equal steps in ln |z|, geometric convergence (Trefethen and Weideman, SIAM Review 56 (2014)).
struct RayNode {
  std::complex<double> z;
  std::complex<double> weight;
};

enum class HankelOrder { zero, one };

/// Nodes from the lowest |z| up.
[[nodiscard]] std::span<const RayNode> ray_nodes(HankelOrder order);

}  // namespace ohmroot::earth::detail
