// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/ray_filter.hpp>
#include <ohmroot/earth/detail/transform.hpp>

#include <boost/math/constants/constants.hpp>

#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace ohmroot::earth::detail {
namespace {

using Complex = std::complex<double>;

constexpr double step = 0.15;         // in ln s
constexpr double highest = 4.2;       // ln s beyond which exp(-0.7 s) is below 1e-20
constexpr double lowest = -40.0;      // ln s below which the weights, which fall with s, are below 1e-17
constexpr double negligible = 1e-30;  // of squared magnitudes
const Complex ray{std::numbers::sqrt2 / 2.0, std::numbers::sqrt2 / 2.0};

enum class Order { zero, one };

/// First Hankel function of z, 0 < arg z < pi: (2 / (pi i^(order + 1))) int_0^inf exp(i z cosh t)
/// cosh(order t) dt. The integrand is even and falls doubly exponentially, so that equal steps converge
/// geometrically. Source: DLMF 10.9.10.
Complex hankel(Order order, Complex z) {
  constexpr double dt = 0.12;
  const Complex iz = Complex(0.0, 1.0) * z;
  Complex sum = std::exp(iz) / 2.0;
  for (double t = dt; std::abs(z) * std::cosh(t) < 60.0; t += dt)
    sum += std::exp(iz * std::cosh(t)) * (order == Order::one ? std::cosh(t) : 1.0);
  const Complex front = order == Order::one ? Complex(-1.0, 0.0) : Complex(0.0, -1.0);
  return 2.0 / std::numbers::pi * dt * front * sum;
}

/// The same close to zero, where the sum above grows long: leading terms, error of order z^2.
Complex small_hankel(Order order, Complex z) {
  const Complex i(0.0, 1.0);
  if (order == Order::one) return -2.0 * i / (std::numbers::pi * z);
  return 1.0 + 2.0 * i / std::numbers::pi * (std::log(z / 2.0) + std::numbers::egamma);
}

/// One point of the path: z, its weight, and the weight of all points from here down to zero.
struct Node {
  Complex z;
  Complex weight;
  Complex weight_from_here_down;
};

/// Points from the highest down. The weight holds everything of 1/(2 pi) H0(z) dz, or of 1/(2 pi) z H1(z) dz
/// for the field, that does not depend on soil and distance.
std::vector<Node> filter(Order order) {
  std::vector<Node> nodes;
  for (double u = highest; u > lowest; u -= step) {
    const Complex z = std::exp(u) * ray;
    const Complex hankel_value = u < -18.0 ? small_hankel(order, z) : hankel(order, z);
    const Complex power = order == Order::one ? z * z : z;
    nodes.push_back({z, step * power * hankel_value / (2.0 * std::numbers::pi), {}});
  }
  Complex sum = 0.0;
  for (auto node = nodes.rbegin(); node != nodes.rend(); ++node)
    node->weight_from_here_down = sum += node->weight;
  return nodes;
}

/// Re sum of weight T(z / r). Ends early where T has reached the resistivity of the half-space.
double filtered_ohm_m(const std::vector<Node>& nodes, const LayeredSoil& soil, double distance_m) {
  const double bottom = soil.layers().back().resistivity_ohm_m;
  Complex sum = 0.0;
  for (const Node& node : nodes) {
    const Complex transform = resistivity_transform(soil, node.z / distance_m);
    const double left_out =
        std::norm((transform - bottom) * node.weight);  // the rest is a few times as large
    if (left_out < negligible * std::norm(sum)) return (sum + bottom * node.weight_from_here_down).real();
    sum += transform * node.weight;
  }
  return sum.real();
}

}  // namespace

double ray_potential_ohm(const LayeredSoil& soil, double distance_m) {
  static const auto nodes = filter(Order::zero);
  return filtered_ohm_m(nodes, soil, distance_m) / distance_m;
}

double ray_field_ohm_per_m(const LayeredSoil& soil, double distance_m) {
  static const auto nodes = filter(Order::one);
  return filtered_ohm_m(nodes, soil, distance_m) / distance_m / distance_m;
}

}  // namespace ohmroot::earth::detail
