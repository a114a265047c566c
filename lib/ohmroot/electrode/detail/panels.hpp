// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/point_potential.hpp>

#include <array>
#include <cstddef>
#include <vector>

namespace ohmroot::electrode::detail {

/// A point; z_m is the depth, and may be negative for an image.
struct Point {
  double x_m;
  double y_m;
  double z_m;
};

/// A flat convex quadrilateral that leaks evenly; two corners may coincide (a triangle).
class Panel {
public:
  /// Corners in order round the panel.
  explicit Panel(const std::array<Point, 4>& corners);

  [[nodiscard]] double area_m2() const noexcept { return area_m2_; }
  [[nodiscard]] const Point& centre() const noexcept { return centre_; }

  /// Greatest distance of a corner from the centre.
  [[nodiscard]] double size_m() const noexcept { return size_m_; }

  /// The point of the bilinear map of the square 0 to 1.
  [[nodiscard]] Point at(double s_ratio, double t_ratio) const;

  /// Mean over the panel of one over the distance. [1/m] Closed form close by (Wilton et al., IEEE Trans.
  /// Antennas Propag. 32 (1984) 276), quadrature by sixteen, four and one node farther away.
  [[nodiscard]] double mean_inverse_distance_per_m(const Point& from) const;

private:
  struct Node {
    Point at;
    double weight_ratio;
  };
  struct Edge {
    double start_u_m, start_v_m;
    double along_u, along_v;
    double length_m;
  };
  /// Of the rule of sixteen nodes, each coordinate in a row of its own for the processor's wide registers.
  struct FineNodes {
    std::array<double, 16> x_m, y_m, z_m, weight_ratio;
  };
  [[nodiscard]] double integral_m(const Point& from) const;

  std::array<Point, 4> corners_;
  Point centre_{};
  Point u_{}, v_{}, normal_{};  // axes of the panel
  std::vector<Edge> edges_;
  std::array<Node, 4> nodes_{};
  FineNodes fine_{};
  double area_m2_ = 0.0;
  double size_m_ = 0.0;
};

/// Whether the body and its leakage are their own mirror images in the planes x = 0 and y = 0; the panels
/// given are then those where the coordinate is positive.
struct Mirrors {
  bool in_x;
  bool in_y;
};

/// Metal covered by panels in layered soil.
class PanelBody {
public:
  /// No panel may cross a boundary of layers.
  PanelBody(const earth::LayeredSoil& soil, std::vector<Panel> panels, const Mirrors& mirrors);

  /// Leakage for which the mean potential is the same on every panel, one ampere in sum over all mirror
  /// images, and that potential: by Thomson's principle not below the resistance, but for the rule that forms
  /// the means.
  struct Solution {
    std::vector<double> currents_a;  ///< of each panel given
    double resistance_ohm;
  };
  [[nodiscard]] Solution solve() const;

  /// At a point of the body.
  [[nodiscard]] double potential_v(const std::vector<double>& currents_a, const Point& at) const;

  [[nodiscard]] const std::vector<Panel>& panels() const noexcept { return panels_; }
  [[nodiscard]] double kernel_error_ratio() const noexcept { return kernel_.fit_error_ratio(); }

private:
  struct Image {
    double receiver_sign;  // what becomes of the depth of the receiver: sign * depth + offset
    double offset_m;
    double weight_ohm_m;
  };
  [[nodiscard]] std::size_t layer_of(const Point& at) const;
  [[nodiscard]] std::vector<Image> images_of(std::size_t receiver_layer, std::size_t source_layer) const;
  [[nodiscard]] double influence_ohm(const Point& at, std::size_t layer, std::size_t panel) const;
  [[nodiscard]] double mean_influence_ohm(std::size_t receiver, std::size_t source) const;

  std::vector<Panel> panels_;
  std::vector<Point> signs_;  // of the mirror images
  double deepest_m_;
  earth::ImageKernel kernel_;
  std::vector<std::size_t> layers_;         // of each panel
  std::vector<std::vector<Image>> images_;  // receiver layer * layers + source layer
};

/// From 0 to 1, graded towards the ends where the leakage is singular: cells grow from the end like a power.
struct Grading {
  int cell_count;
  double power_ratio;
  bool at_start;
  bool at_end;
};
[[nodiscard]] std::vector<double> graded_ratios(const Grading& grading);

}  // namespace ohmroot::electrode::detail
