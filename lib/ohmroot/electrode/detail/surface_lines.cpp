// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/influence.hpp>
#include <ohmroot/electrode/detail/surface_lines.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode::detail {

namespace {

using Eigen::Index;

constexpr int table_steps = 4096;

/// Squared distance of a point of the surface from the axis of a piece.
double squared_gap_m2(const Piece& piece, double x_m, double y_m) {
  const Eigen::Vector3d point(x_m, y_m, 0.0);
  const double along_m = std::clamp((point - piece.start).dot(piece.direction), 0.0, piece.length_m());
  return (point - piece.at(along_m)).squaredNorm();
}

}  // namespace

/// Gauss nodes of an element, from its middle, over its length; and the distance over the length from which
/// they leave about 1e-4 or less of the element's part: (length / distance)^4 / 180 for two of them,
/// (length / distance)^6 / 2800 for three, broadside.
struct SurfaceLines::PointRule {
  std::vector<double> nodes_ratio;
  std::vector<double> weights_ratio;
  double reach_ratio;
};

SurfaceLines::SurfaceLines(const earth::ImageKernel& kernel, const std::vector<Piece>& pieces,
                           const Eigen::VectorXd& currents_a)
    : kernel_(kernel), pieces_(pieces), currents_a_(currents_a) {
  const double two = 0.5 / std::sqrt(3.0);
  const double three = 0.5 * std::sqrt(0.6);
  const PointRule two_points{{-two, two}, {0.5, 0.5}, 2.5};
  const PointRule three_points{{-three, 0.0, three}, {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0}, 1.4};
  Index element = 0;
  for (const Piece& piece : pieces) {
    const auto count = static_cast<Index>(piece.element_count());
    sources_.push_back(
        {add_points(piece, element, two_points), add_points(piece, element, three_points), element, count});
    element += count;
  }
}

SurfaceLines::Points SurfaceLines::add_points(const Piece& piece, Index first_element,
                                              const PointRule& rule) {
  const double reach_m = rule.reach_ratio * piece.greatest_element_m();
  const auto first_node = static_cast<Index>(x_m_.size());
  for (std::size_t i = 0; i < piece.element_count(); ++i) {
    const double length_m = piece.breaks_m[i + 1] - piece.breaks_m[i];
    for (std::size_t n = 0; n < rule.nodes_ratio.size(); ++n) {
      const Eigen::Vector3d at = piece.at(piece.breaks_m[i] + (0.5 + rule.nodes_ratio[n]) * length_m);
      x_m_.push_back(at.x());
      y_m_.push_back(at.y());
      squared_depth_m2_.push_back(at.z() * at.z());
      node_a_.push_back(rule.weights_ratio[n] * currents_a_[first_element + static_cast<Index>(i)]);
      if (kernel_.soil().is_uniform()) continue;
      const double scale_m = std::max(at.z(), reach_m);
      const auto [entry, is_new] = known_tables_.try_emplace({piece.layer, at.z(), scale_m}, tables_.size());
      if (is_new) tables_.push_back(table_for(at.z(), piece.layer, scale_m));
      tables_of_.push_back(entry->second);
    }
  }
  return {first_node, static_cast<Index>(x_m_.size()) - first_node, reach_m * reach_m};
}

SurfaceLines::Table SurfaceLines::table_for(double depth_m, std::size_t layer, double scale_m) const {
  std::vector<double> verticals_m;
  std::vector<double> weights_ohm_m;
  if (layer == 0) {
    verticals_m.push_back(depth_m);
    weights_ohm_m.push_back(kernel_.soil().layers()[0].resistivity_ohm_m / (4.0 * std::numbers::pi));
  }
  for (const earth::ImageWay& way : kernel_.ways({0, layer})) {
    for (std::size_t j = 0; j < way.weights_ohm_m.size(); ++j) {
      verticals_m.push_back(way.lower_sign * depth_m + way.offset_m + kernel_.shifts_m()[j]);
      weights_ohm_m.push_back(way.weights_ohm_m[j]);
    }
  }
  const auto count = static_cast<Index>(verticals_m.size());
  const Eigen::ArrayXd squares = Eigen::Map<const Eigen::ArrayXd>(verticals_m.data(), count).square();
  const Eigen::Map<const Eigen::ArrayXd> weights(weights_ohm_m.data(), count);
  Table table{scale_m, {}};
  table.values_ohm_m.reserve(table_steps + 3);
  for (int i = -1; i < table_steps; ++i) {  // one more step either side for the cubic
    const double x = static_cast<double>(i) / table_steps;
    const double distance_m = scale_m * x / (1.0 - x);
    table.values_ohm_m.push_back((scale_m + distance_m) *
                                 (weights / (squares + distance_m * distance_m).sqrt()).sum());
  }
  const double far_ohm_m = weights.sum();
  table.values_ohm_m.push_back(far_ohm_m);
  const std::size_t last = table.values_ohm_m.size() - 1;
  table.values_ohm_m.push_back(2.0 * far_ohm_m - table.values_ohm_m[last - 1]);
  return table;
}

double SurfaceLines::Table::potential_ohm(double squared_m2) const {
  const double distance_m = std::sqrt(squared_m2);
  const double inverse_per_m = 1.0 / (distance_m + scale_m);
  const double place = distance_m * inverse_per_m * table_steps;
  const auto step = std::min(static_cast<std::size_t>(place), static_cast<std::size_t>(table_steps - 1));
  const double t = place - static_cast<double>(step);
  const double* v = &values_ohm_m[step];  // at -1, 0, 1, 2
  const double value =
      v[1] +
      0.5 * t *
          (v[2] - v[0] +
           t * (2.0 * v[0] - 5.0 * v[1] + 4.0 * v[2] - v[3] + t * (3.0 * (v[1] - v[2]) + v[3] - v[0])));
  return value * inverse_per_m;
}

double SurfaceLines::far_v(const Points& points, double x_m, double y_m) const {
  if (tables_of_.empty()) {
    const double factor_ohm_m = kernel_.soil().layers()[0].resistivity_ohm_m / (2.0 * std::numbers::pi);
    const auto part = [&](const std::vector<double>& all) {
      return Eigen::Map<const Eigen::ArrayXd>(all.data() + points.first_node, points.node_count);
    };
    return factor_ohm_m *
           (part(node_a_) /
            ((part(x_m_) - x_m).square() + (part(y_m_) - y_m).square() + part(squared_depth_m2_)).sqrt())
               .sum();
  }
  double sum = 0.0;
  const auto first = static_cast<std::size_t>(points.first_node);
  for (std::size_t i = first; i < first + static_cast<std::size_t>(points.node_count); ++i) {
    const double dx = x_m_[i] - x_m;
    const double dy = y_m_[i] - y_m;
    sum += node_a_[i] * tables_[tables_of_[i]].potential_ohm(dx * dx + dy * dy);
  }
  return sum;
}

double SurfaceLines::potential_v(double x_m, double y_m) const {
  double potential_v = 0.0;
  for (std::size_t i = 0; i < pieces_.size(); ++i) {
    const Source& source = sources_[i];
    const double gap_m2 = squared_gap_m2(pieces_[i], x_m, y_m);
    if (gap_m2 > source.two.squared_reach_m2) {
      potential_v += far_v(source.two, x_m, y_m);
    } else if (gap_m2 > source.three.squared_reach_m2) {
      potential_v += far_v(source.three, x_m, y_m);
    } else {
      potential_v += influence_at(kernel_, {x_m, y_m, 0.0}, pieces_[i])
                         .dot(currents_a_.segment(source.first_element, source.element_count));
    }
  }
  return potential_v;
}

}  // namespace ohmroot::electrode::detail
