// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

#include <cstddef>
#include <map>
#include <tuple>
#include <vector>

namespace ohmroot::electrode::detail {

/// Potentials at many points of the surface of elements that leak evenly: elements near a point as the
/// assembly treats them, those farther away as three or two point sources each, whose potential over layers
/// is read from a table for each depth. Relative difference to the plain sum below 1e-4 of the potential.
class SurfaceLines {
public:
  /// currents_a: one for each element, as the pieces are ordered. Kernel and pieces must outlive this.
  SurfaceLines(const earth::ImageKernel& kernel, const std::vector<Piece>& pieces,
               const Eigen::VectorXd& currents_a);

  /// At a point of the surface outside the metal. [V]
  [[nodiscard]] double potential_v(double x_m, double y_m) const;

private:
  /// (distance + scale) times the potential per ampere, over distance / (distance + scale) in equal steps.
  struct Table {
    double scale_m;
    std::vector<double> values_ohm_m;
    [[nodiscard]] double potential_ohm(double squared_m2) const;
  };
  /// The points of a piece, good from a distance of its axis on.
  struct Points {
    Eigen::Index first_node;
    Eigen::Index node_count;
    double squared_reach_m2;
  };
  struct Source {
    Points two;    ///< for each element
    Points three;  ///< the same, nearer
    Eigen::Index first_element;
    Eigen::Index element_count;
  };
  struct PointRule;
  [[nodiscard]] Table table_for(double depth_m, std::size_t layer, double scale_m) const;
  Points add_points(const Piece& piece, Eigen::Index first_element, const PointRule& rule);
  [[nodiscard]] double far_v(const Points& points, double x_m, double y_m) const;

  const earth::ImageKernel& kernel_;
  const std::vector<Piece>& pieces_;
  Eigen::VectorXd currents_a_;
  std::vector<Source> sources_;  // one for each piece
  std::vector<double> x_m_, y_m_, squared_depth_m2_, node_a_;
  std::vector<std::size_t> tables_of_;  // of each node; empty in uniform soil
  std::map<std::tuple<std::size_t, double, double>, std::size_t> known_tables_;  // by layer, depth, scale
  std::vector<Table> tables_;
};

}  // namespace ohmroot::electrode::detail
