// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/ray_filter.hpp>
#include <ohmroot/earth/detail/ray_path.hpp>
#include <ohmroot/earth/detail/transform.hpp>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace ohmroot::earth::detail {
namespace {

using Complex = std::complex<double>;

constexpr double negligible = 1e-30;  // of squared magnitudes

/// One point of the path: z, its weight, and the weight of all points from here down to zero.
struct Node {
  Complex z;
  Complex weight;
  Complex weight_from_here_down;
};

/// Points from the highest down, so that the sum may end where the half-space is reached.
std::vector<Node> filter(HankelOrder order) {
  std::vector<Node> nodes;
  Complex sum = 0.0;
  for (const RayNode& at : ray_nodes(order)) {
    const Complex weight = at.weight / (2.0 * std::numbers::pi);
    sum += weight;
    nodes.push_back({at.z, weight, sum});
  }
  std::reverse(nodes.begin(), nodes.end());
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
  static const auto nodes = filter(HankelOrder::zero);
  return filtered_ohm_m(nodes, soil, distance_m) / distance_m;
}

double ray_field_ohm_per_m(const LayeredSoil& soil, double distance_m) {
  static const auto nodes = filter(HankelOrder::one);
  return filtered_ohm_m(nodes, soil, distance_m) / distance_m / distance_m;
}

}  // namespace ohmroot::earth::detail
