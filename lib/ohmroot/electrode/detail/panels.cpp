// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/panels.hpp>

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode::detail {

namespace {

Point minus(const Point& a, const Point& b) {
  return {a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m};
}
double dot(const Point& a, const Point& b) {
  return a.x_m * b.x_m + a.y_m * b.y_m + a.z_m * b.z_m;
}
Point cross(const Point& a, const Point& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m, a.z_m * b.x_m - a.x_m * b.z_m, a.x_m * b.y_m - a.y_m * b.x_m};
}
Point scaled(const Point& a, double factor) {
  return {a.x_m * factor, a.y_m * factor, a.z_m * factor};
}
double distance_m(const Point& a, const Point& b) {
  const Point d = minus(a, b);
  return std::sqrt(dot(d, d));
}

/// Distances, in sizes of the panel, from which one, four and sixteen nodes are exact to about 1e-5.
constexpr double one_node_ratio = 60.0;
constexpr double four_node_ratio = 6.0;
constexpr double sixteen_node_ratio = 2.5;
/// Distance, in sizes of both panels, from which a receiver is its centre.
constexpr double far_receiver_ratio = 30.0;

constexpr double lower_node = 0.5 - 0.28867513459481287;
constexpr double upper_node = 0.5 + 0.28867513459481287;
constexpr std::array<std::array<double, 2>, 4> square_nodes{
    {{lower_node, lower_node}, {upper_node, lower_node}, {lower_node, upper_node}, {upper_node, upper_node}}};

/// Gauss-Legendre rule of four nodes on 0 to 1.
struct LineNode {
  double at;
  double weight;
};
constexpr std::array<LineNode, 4> line_nodes{{{0.069431844202973712, 0.17392742256872693},
                                              {0.33000947820757187, 0.32607257743127307},
                                              {0.66999052179242813, 0.32607257743127307},
                                              {0.93056815579702629, 0.17392742256872693}}};

double deepest_corner_m(const std::vector<Panel>& panels) {
  double deepest_m = 0.0;
  for (const Panel& panel : panels)
    for (const double s : {0.0, 1.0})
      for (const double t : {0.0, 1.0})
        deepest_m = std::max(deepest_m, panel.at(s, t).z_m);
  return deepest_m;
}

}  // namespace

Panel::Panel(const std::array<Point, 4>& corners) : corners_(corners) {
  const Point diagonal = minus(corners[2], corners[0]);
  const Point other = minus(corners[3], corners[1]);
  const Point twice = cross(diagonal, other);
  const double twice_area_m2 = std::sqrt(dot(twice, twice));
  area_m2_ = 0.5 * twice_area_m2;
  normal_ = scaled(twice, 1.0 / twice_area_m2);
  u_ = scaled(diagonal, 1.0 / std::sqrt(dot(diagonal, diagonal)));
  v_ = cross(normal_, u_);

  const Point first = minus(corners[1], corners[0]);  // of the bilinear map: area grows linearly over it
  const Point last = minus(corners[3], corners[0]);
  const Point skew = minus(minus(corners[2], corners[1]), last);
  Point centre{};
  const auto area_share = [&](double s, double t) {
    const Point by_s{first.x_m + t * skew.x_m, first.y_m + t * skew.y_m, first.z_m + t * skew.z_m};
    const Point by_t{last.x_m + s * skew.x_m, last.y_m + s * skew.y_m, last.z_m + s * skew.z_m};
    return dot(cross(by_s, by_t), normal_) / area_m2_;
  };
  for (std::size_t i = 0; i < 4; ++i) {
    const auto [s, t] = square_nodes[i];
    const double weight = 0.25 * area_share(s, t);
    nodes_[i] = {at(s, t), weight};
    centre.x_m += weight * nodes_[i].at.x_m;
    centre.y_m += weight * nodes_[i].at.y_m;
    centre.z_m += weight * nodes_[i].at.z_m;
  }
  for (std::size_t i = 0; i < fine_.weight_ratio.size(); ++i) {
    const LineNode& s = line_nodes[i % line_nodes.size()];
    const LineNode& t = line_nodes[i / line_nodes.size()];
    const Point node = at(s.at, t.at);
    fine_.x_m[i] = node.x_m;
    fine_.y_m[i] = node.y_m;
    fine_.z_m[i] = node.z_m;
    fine_.weight_ratio[i] = s.weight * t.weight * area_share(s.at, t.at);
  }
  centre_ = centre;
  for (std::size_t i = 0; i < 4; ++i) {
    const Point from = minus(corners[i], centre_);
    const Point to = minus(corners[(i + 1) % 4], centre_);
    const Point step = minus(to, from);
    const double length_m = std::sqrt(dot(step, step));
    size_m_ = std::max(size_m_, std::sqrt(dot(from, from)));
    if (length_m > 0.0) {
      edges_.push_back(
          {dot(from, u_), dot(from, v_), dot(step, u_) / length_m, dot(step, v_) / length_m, length_m});
    }
  }
}

Point Panel::at(double s, double t) const {
  const auto mix = [&](double a, double b, double c, double d) {
    return (1.0 - s) * (1.0 - t) * a + s * (1.0 - t) * b + s * t * c + (1.0 - s) * t * d;
  };
  return {mix(corners_[0].x_m, corners_[1].x_m, corners_[2].x_m, corners_[3].x_m),
          mix(corners_[0].y_m, corners_[1].y_m, corners_[2].y_m, corners_[3].y_m),
          mix(corners_[0].z_m, corners_[1].z_m, corners_[2].z_m, corners_[3].z_m)};
}

double Panel::integral_m(const Point& from) const {
  const Point offset = minus(from, centre_);
  const double u = dot(offset, u_);
  const double v = dot(offset, v_);
  const double height = std::abs(dot(offset, normal_));
  // An edge begins where the one before it ends: each corner's distance is taken once.
  const auto distance_of = [&](const Edge& edge) {
    const double du = edge.start_u_m - u;
    const double dv = edge.start_v_m - v;
    return std::sqrt(du * du + dv * dv + height * height);
  };
  constexpr double rounding = 1e-14;
  const double on_line_m2 = rounding * rounding * size_m_ * size_m_;
  const double first_m = distance_of(edges_.front());
  double r1 = first_m;
  double sum = 0.0;
  for (std::size_t i = 0; i < edges_.size(); ++i) {
    const Edge& edge = edges_[i];
    const double r0 = r1;
    r1 = i + 1 < edges_.size() ? distance_of(edges_[i + 1]) : first_m;
    const double du = edge.start_u_m - u;
    const double dv = edge.start_v_m - v;
    const double outward = du * edge.along_v - dv * edge.along_u;  // distance of the edge's line
    const double s0 = du * edge.along_u + dv * edge.along_v;
    const double s1 = s0 + edge.length_m;
    const double near2 = outward * outward + height * height;
    if (!(near2 > on_line_m2)) continue;  // on the edge's line, but for rounding: the term vanishes
    // (r1 + s1) / (r0 + s0), without differences of nearly equal numbers
    const double quotient = s0 >= 0.0   ? (r1 + s1) / (r0 + s0)
                            : s1 <= 0.0 ? (r0 - s0) / (r1 - s1)
                                        : (r1 + s1) * (r0 - s0) / near2;
    sum += outward * std::log(quotient);
    if (height > 0.0) {
      // The difference of two angles, each within a quarter turn.
      const double across0 = outward * s0, along0 = near2 + height * r0;
      const double across1 = outward * s1, along1 = near2 + height * r1;
      sum -= height * std::atan2(across1 * along0 - across0 * along1, along0 * along1 + across0 * across1);
    }
  }
  return sum;
}

double Panel::mean_inverse_distance_per_m(const Point& from) const {
  const double away_m = distance_m(from, centre_);
  if (away_m > one_node_ratio * size_m_) return 1.0 / away_m;
  if (away_m > four_node_ratio * size_m_) {
    double sum = 0.0;
    for (const Node& node : nodes_)
      sum += node.weight_ratio / distance_m(from, node.at);
    return sum;
  }
  if (away_m > sixteen_node_ratio * size_m_) {
    double sum = 0.0;
    for (std::size_t i = 0; i < fine_.weight_ratio.size(); ++i) {
      const double dx = fine_.x_m[i] - from.x_m, dy = fine_.y_m[i] - from.y_m, dz = fine_.z_m[i] - from.z_m;
      sum += fine_.weight_ratio[i] / std::sqrt(dx * dx + dy * dy + dz * dz);
    }
    return sum;
  }
  return integral_m(from) / area_m2_;
}

PanelBody::PanelBody(const earth::LayeredSoil& soil, std::vector<Panel> panels, const Mirrors& mirrors)
    : panels_(std::move(panels)), deepest_m_(deepest_corner_m(panels_)), kernel_(soil, deepest_m_) {
  for (const double x : {1.0, -1.0})
    for (const double y : {1.0, -1.0})
      if ((x > 0.0 || mirrors.in_x) && (y > 0.0 || mirrors.in_y)) signs_.push_back({x, y, 1.0});
  const std::size_t layer_count = soil.layers().size();
  images_.resize(layer_count * layer_count);
  for (const Panel& panel : panels_)
    layers_.push_back(layer_of(panel.centre()));
  const std::size_t deepest = *std::max_element(layers_.begin(), layers_.end());
  for (std::size_t receiver = 0; receiver <= deepest; ++receiver)
    for (std::size_t source = 0; source <= deepest; ++source)
      images_[receiver * layer_count + source] = images_of(receiver, source);
}

/// Rounding must not push a point below the deepest corner, where the kernel ends.
std::size_t PanelBody::layer_of(const Point& at) const {
  return kernel_.layer_of(std::min(at.z_m, deepest_m_));
}

std::vector<PanelBody::Image> PanelBody::images_of(std::size_t receiver, std::size_t source) const {
  std::vector<Image> images;
  if (receiver == source) {
    const double rho = kernel_.soil().layers()[source].resistivity_ohm_m;
    images.push_back({1.0, 0.0, rho / (4.0 * std::numbers::pi)});
  }
  const bool receiver_is_upper = receiver <= source;
  for (const earth::ImageWay& way : kernel_.ways({std::min(receiver, source), std::max(receiver, source)})) {
    const double receiver_sign = receiver_is_upper ? way.upper_sign : way.lower_sign;
    const double source_sign = receiver_is_upper ? way.lower_sign : way.upper_sign;
    for (std::size_t j = 0; j < way.weights_ohm_m.size(); ++j) {
      if (way.weights_ohm_m[j] == 0.0) continue;
      // the receiver is moved instead of the panel: source_sign * (z_s - z) = r z_r + s z_s + offset
      images.push_back({-source_sign * receiver_sign, -source_sign * (way.offset_m + kernel_.shifts_m()[j]),
                        way.weights_ohm_m[j]});
    }
  }
  return images;
}

double PanelBody::influence_ohm(const Point& at, std::size_t layer, std::size_t panel) const {
  const auto& images = images_[layer * kernel_.soil().layers().size() + layers_[panel]];
  double sum = 0.0;
  for (const Point& sign : signs_) {
    const double x = sign.x_m * at.x_m;
    const double y = sign.y_m * at.y_m;
    for (const Image& image : images) {
      const Point seen{x, y, image.receiver_sign * at.z_m + image.offset_m};
      sum += image.weight_ohm_m * panels_[panel].mean_inverse_distance_per_m(seen);
    }
  }
  return sum;
}

/// Mean over the receiver by four nodes; far from an image, by its centre.
double PanelBody::mean_influence_ohm(std::size_t receiver, std::size_t source) const {
  const Panel& from = panels_[source];
  const Panel& to = panels_[receiver];
  const double far_m = far_receiver_ratio * (from.size_m() + to.size_m());
  const auto& images = images_[layers_[receiver] * kernel_.soil().layers().size() + layers_[source]];
  double sum = 0.0;
  for (const Point& sign : signs_) {
    for (const Image& image : images) {
      const auto seen = [&](const Point& at) {
        return Point{sign.x_m * at.x_m, sign.y_m * at.y_m, image.receiver_sign * at.z_m + image.offset_m};
      };
      const double away_m = distance_m(seen(to.centre()), from.centre());
      if (away_m > far_m) {
        sum += image.weight_ohm_m / away_m;
        continue;
      }
      for (const auto& [s, t] : square_nodes)
        sum += 0.25 * image.weight_ohm_m * from.mean_inverse_distance_per_m(seen(to.at(s, t)));
    }
  }
  return sum;
}

PanelBody::Solution PanelBody::solve() const {
  const auto count = static_cast<Eigen::Index>(panels_.size());
  Eigen::MatrixXd matrix(count, count);
  for (std::size_t i = 0; i < panels_.size(); ++i)
    for (std::size_t j = 0; j < panels_.size(); ++j)
      matrix(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = mean_influence_ohm(i, j);
  const Eigen::VectorXd currents = matrix.partialPivLu().solve(Eigen::VectorXd::Ones(count));
  const double total = currents.sum() * static_cast<double>(signs_.size());
  Solution solution{{}, 1.0 / total};
  for (const double current : currents)
    solution.currents_a.push_back(current / total);
  return solution;
}

double PanelBody::potential_v(const std::vector<double>& currents_a, const Point& at) const {
  const std::size_t layer = layer_of(at);
  double sum = 0.0;
  for (std::size_t j = 0; j < panels_.size(); ++j)
    sum += currents_a[j] * influence_ohm(at, layer, j);
  return sum;
}

std::vector<double> graded_ratios(const Grading& grading) {
  std::vector<double> ratios;
  const double count = grading.cell_count;
  for (int i = 0; i <= grading.cell_count; ++i) {
    const double t = i / count;
    const auto from_end = [&](double left) { return std::pow(left, grading.power_ratio); };
    if (grading.at_start && grading.at_end) {
      ratios.push_back(t <= 0.5 ? 0.5 * from_end(2.0 * t) : 1.0 - 0.5 * from_end(2.0 - 2.0 * t));
    } else if (grading.at_end) {
      ratios.push_back(1.0 - from_end(1.0 - t));
    } else if (grading.at_start) {
      ratios.push_back(from_end(t));
    } else {
      ratios.push_back(t);
    }
  }
  return ratios;
}

}  // namespace ohmroot::electrode::detail
