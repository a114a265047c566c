// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/reading_curve.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

/// "at a = 8 m"; nothing for stakes by coordinates.
std::string place_words(const FourPoleReading& reading) {
  const auto metres = [](double value_m) { return format_quantity(value_m, Dimension::length); };
  switch (reading.array) {
  case Array::four_points:
    return "";
  case Array::dipole_dipole:
    return fmt::format(" at dipoles of {}, {} apart", metres(2.0 * reading.half_potential_spacing_m),
                       metres(reading.potential_offset_m - reading.half_potential_spacing_m -
                              reading.half_current_spacing_m));
  case Array::schlumberger:
    return fmt::format(" at AB/2 = {}", metres(reading.half_current_spacing_m));
  default:
    return fmt::format(" at a = {}", metres(plotted_spacing_m(reading)));
  }
}

Node node_of(std::vector<const Point*> points) {
  Node node;
  double weight_sum = 0.0;
  for (const Point* point : points) {
    const double weight = std::pow(point->reading->relative_error_ratio, -2.0);
    weight_sum += weight;
    node.ln_apparent += weight * point->ln_apparent;
  }
  node.ln_apparent /= weight_sum;
  node.ln_error = 1.0 / std::sqrt(weight_sum);
  node.ln_spacing = points.front()->ln_spacing;
  node.points = std::move(points);
  return node;
}

struct Prediction {
  double ln_apparent;
  double ln_error;
};

/// Polynomial in ln(spacing) through the given nodes, at a place.
Prediction polynomial(const std::vector<const Node*>& nodes, double at) {
  Prediction result{0.0, 0.0};
  for (const Node* node : nodes) {
    double weight = 1.0;
    for (const Node* other : nodes) {
      if (other != node) weight *= (at - other->ln_spacing) / (node->ln_spacing - other->ln_spacing);
    }
    result.ln_apparent += weight * node->ln_apparent;
    result.ln_error = std::hypot(result.ln_error, weight * node->ln_error);
  }
  return result;
}

/// Steepest slope between neighbouring nodes.
double greatest_slope(const std::vector<const Node*>& nodes) {
  double greatest = 0.0;
  for (std::size_t i = 1; i < nodes.size(); ++i) {
    const double rise = nodes[i]->ln_apparent - nodes[i - 1]->ln_apparent;
    greatest = std::max(greatest, std::abs(rise) / (nodes[i]->ln_spacing - nodes[i - 1]->ln_spacing));
  }
  return greatest;
}

/// What the curve through the neighbours may miss of a layered earth's curve: as much as it bends away from
/// the straight line, and what a polynomial misses where the sampling is coarse and the curve steep. The
/// factor was set so that nearly all random curves of two to four layers, sampled at spacings in ratio 2,
/// stay silent (tests).
double granted_miss(const std::vector<const Node*>& neighbours, const Node& node, double bend) {
  constexpr double miss_per_slope = 0.2;
  double gaps = 1.0;
  for (const Node* neighbour : neighbours)
    gaps *= std::abs(node.ln_spacing - neighbour->ln_spacing);
  return std::abs(bend) + miss_per_slope * greatest_slope(neighbours) * gaps;
}

}  // namespace

std::vector<Point> points_of(const std::vector<FourPoleReading>& readings) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < readings.size(); ++i)
    points.push_back({i, &readings[i], std::log(plotted_spacing_m(readings[i])),
                      std::log(geometric_factor_m(readings[i])),
                      std::log(apparent_resistivity_ohm_m(readings[i]))});
  return points;
}

double joint_error(const Point& a, const Point& b) {
  return std::hypot(a.reading->relative_error_ratio, b.reading->relative_error_ratio);
}

std::string name_of(const Point& point) {
  const FourPoleReading& reading = *point.reading;
  return fmt::format("reading {}{}{}", point.index + 1, place_words(reading),
                     reading.sheet_line > 0 ? fmt::format(" (line {})", reading.sheet_line) : "");
}

std::string off_words(double ln_ratio) {
  if (ln_ratio > std::log(3.0)) return fmt::format("{} times", format_number(std::exp(ln_ratio), 2));
  return fmt::format("{:.0f} % {}", 100.0 * std::abs(std::expm1(ln_ratio)),
                     ln_ratio > 0.0 ? "above" : "below");
}

std::vector<std::vector<Node>> curves_of(const std::vector<const Point*>& points) {
  using CurveKey = std::tuple<std::string, Array, double, double>;
  std::map<CurveKey, std::map<double, std::vector<const Point*>>> groups;
  for (const Point* point : points) {
    const FourPoleReading& reading = *point->reading;
    if (reading.array == Array::four_points) continue;
    const bool has_own_length = reading.array == Array::schlumberger || reading.array == Array::dipole_dipole;
    const double length_m = has_own_length ? reading.half_potential_spacing_m : 0.0;
    const double offset_m = reading.array == Array::schlumberger ? reading.potential_offset_m : 0.0;
    groups[{reading.traverse, reading.array, length_m, offset_m}][point->ln_spacing].push_back(point);
  }
  std::vector<std::vector<Node>> curves;
  for (auto& [key, spacings] : groups) {
    curves.emplace_back();
    for (auto& [spacing, at_spacing] : spacings)
      curves.back().push_back(node_of(std::move(at_spacing)));
  }
  return curves;
}

Outlier outlier_at(const std::vector<Node>& curve, std::size_t position) {
  std::vector<const Node*> neighbours;
  const std::size_t first = position >= 2 ? position - 2 : 0;
  for (std::size_t i = first; i <= std::min(position + 2, curve.size() - 1); ++i) {
    if (i != position) neighbours.push_back(&curve[i]);
  }
  const Node& node = curve[position];
  const Prediction bent = polynomial(neighbours, node.ln_spacing);
  const Prediction straight = polynomial({&curve[position - 1], &curve[position + 1]}, node.ln_spacing);
  const double granted = granted_miss(neighbours, node, bent.ln_apparent - straight.ln_apparent);
  const double expected =
      std::clamp(node.ln_apparent, bent.ln_apparent - granted, bent.ln_apparent + granted);
  const double off = node.ln_apparent - expected;
  const double error = std::hypot(node.ln_error, std::max(bent.ln_error, straight.ln_error));
  return {position, off, bent.ln_apparent, std::abs(off) / error};
}

std::optional<Outlier> worst_outlier(const std::vector<Node>& curve) {
  std::optional<Outlier> worst;
  if (curve.size() < least_curve_size) return worst;
  for (std::size_t i = 1; i + 1 < curve.size(); ++i) {
    const Outlier outlier = outlier_at(curve, i);
    const double floor = worst ? worst->sigma_count : allowed_sigma;
    if (outlier.sigma_count > floor) worst = outlier;
  }
  return worst;
}

}  // namespace ohmroot::sounding::detail
