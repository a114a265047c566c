// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/ray_path.hpp>

#include <cmath>
#include <numbers>
#include <vector>

namespace ohmroot::earth::detail {
namespace {

using Complex = std::complex<double>;

constexpr double step = 0.15;     // in ln |z|: error exp(-pi^2 / (2 step)) = 5e-15
constexpr double highest = 4.2;   // ln |z| beyond which |H0| is below 1e-20
constexpr double lowest = -40.0;  // ln |z| below which the weights are below 1e-16

/// First Hankel function of order 0, 0 < arg z < pi: (2 / (i pi)) int_0^inf exp(i z cosh t) dt, an even
/// integrand that falls doubly exponentially. Source: DLMF 10.9.10. Close to zero its leading terms.
Complex hankel(Complex z) {
  const Complex i(0.0, 1.0);
  if (std::abs(z) < 1e-8)
    return 1.0 + 2.0 * i / std::numbers::pi * (std::log(z / 2.0) + std::numbers::egamma);
  constexpr double dt = 0.12;
  Complex sum = std::exp(i * z) / 2.0;
  for (double t = dt; std::abs(z) * std::cosh(t) < 60.0; t += dt)
    sum += std::exp(i * z * std::cosh(t));
  return -2.0 * i / std::numbers::pi * dt * sum;
}

std::vector<RayNode> make_nodes() {
  std::vector<RayNode> nodes;
  for (double u = lowest; u < highest; u += step) {
    const Complex z = std::polar(std::exp(u), std::numbers::pi / 4.0);
    nodes.push_back({z, step * z * hankel(z)});
  }
  return nodes;
}

}  // namespace

std::span<const RayNode> ray_nodes() {
  static const std::vector<RayNode> nodes = make_nodes();
  return nodes;
}

}  // namespace ohmroot::earth::detail
