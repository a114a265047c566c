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

/// First Hankel function of z, 0 < arg z < pi: (2 / (pi i^(order + 1))) int_0^inf exp(i z cosh t)
/// cosh(order t) dt. The integrand is even and falls doubly exponentially, so that equal steps converge
/// geometrically. Source: DLMF 10.9.10. Close to zero, where the sum grows long, its leading terms, which err
/// by the order of z^2.
Complex hankel(HankelOrder order, Complex z) {
  const Complex i(0.0, 1.0);
  const bool is_one = order == HankelOrder::one;
  if (std::abs(z) < 1e-8) {
    if (is_one) return -2.0 * i / (std::numbers::pi * z);
    return 1.0 + 2.0 * i / std::numbers::pi * (std::log(z / 2.0) + std::numbers::egamma);
  }
  constexpr double dt = 0.12;
  Complex sum = std::exp(i * z) / 2.0;
  for (double t = dt; std::abs(z) * std::cosh(t) < 60.0; t += dt)
    sum += std::exp(i * z * std::cosh(t)) * (is_one ? std::cosh(t) : 1.0);
  return 2.0 / std::numbers::pi * dt * (is_one ? Complex(-1.0, 0.0) : -i) * sum;
}

std::vector<RayNode> make_nodes(HankelOrder order) {
  // Where a soil conducts far better below, the sum cancels to a thousandth: the nodes that weigh most, those
  // at the top, must lie on their grid to the last digit.
  const Complex ray{std::numbers::sqrt2 / 2.0, std::numbers::sqrt2 / 2.0};
  std::vector<RayNode> nodes;
  for (int k = static_cast<int>((highest - lowest) / step); k >= 0; --k) {
    const Complex z = std::exp(highest - step * k) * ray;
    const Complex power = order == HankelOrder::one ? z * z : z;
    nodes.push_back({z, step * power * hankel(order, z)});
  }
  return nodes;
}

}  // namespace

std::span<const RayNode> ray_nodes(HankelOrder order) {
  static const std::vector<RayNode> zero = make_nodes(HankelOrder::zero);
  static const std::vector<RayNode> one = make_nodes(HankelOrder::one);
  return order == HankelOrder::one ? one : zero;
}

}  // namespace ohmroot::earth::detail
