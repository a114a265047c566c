// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

#include <Eigen/Dense>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/special_functions/ellint_1.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <stdexcept>
#include <stdexcept>
#include <vector>

/// A truth for the tests that owes nothing to the formulas under test: every point of the metal at one
/// potential, by Galerkin's method on parallel bars in uniform soil under insulating air.
namespace equipotential {

/// A piece of bar along one axis.
struct Piece {
  double from_m;
  double to_m;
};

/// Mean of 1/distance between two pieces on parallel lines, in closed form.
inline double mean_inverse_distance(const Piece& a, const Piece& b, double apart_m) {
  const auto f = [&](double u) { return u * std::asinh(u / apart_m) - std::hypot(u, apart_m); };
  const double sum =
      f(a.to_m - b.from_m) - f(a.from_m - b.from_m) - f(a.to_m - b.to_m) + f(a.from_m - b.to_m);
  return sum / ((a.to_m - a.from_m) * (b.to_m - b.from_m));
}

/// The same between two pieces of one tube: mean over the angle between points of its wall. Substituting
/// angle = pi t^2 tames the logarithm at angle 0.
inline double mean_inverse_distance_on_tube(const Piece& a, const Piece& b, double radius_m) {
  const auto at = [&](double t) {
    const double chord_m = 2.0 * radius_m * std::sin(std::numbers::pi * t * t / 2.0);
    return 2.0 * t * mean_inverse_distance(a, b, chord_m);
  };
  return boost::math::quadrature::gauss<double, 15>::integrate(at, 0.0, 1.0);
}

/// 1 / sum of currents at unit potential.
inline double resistance_per_m(const Eigen::MatrixXd& potentials) {
  const Eigen::VectorXd one = Eigen::VectorXd::Ones(potentials.rows());
  const Eigen::LLT<Eigen::MatrixXd> factored(potentials);
  if (factored.info() != Eigen::Success) throw std::runtime_error("potential matrix is not positive");
  return 1.0 / one.dot(factored.solve(one));
}

/// A solid bar with a flat end acts as a tube longer by this part of its radius at each free end.
constexpr double end_of_solid_bar = 0.0989;

/// Joined vertical rods from the surface. [1/m]
inline double rods_per_m(const ohmroot::electrode::Rod& rod,
                         const std::vector<ohmroot::electrode::RodPosition>& positions, int pieces = 16) {
  const double radius_m = rod.diameter_m / 2.0;
  const double length_m = rod.length_m + end_of_solid_bar * radius_m;
  std::vector<Piece> piece;  // shorter towards the tip, where the current crowds
  for (int k = 0; k < pieces; ++k) {
    const auto at = [&](int i) { return length_m * std::sin(std::numbers::pi * i / (2.0 * pieces)); };
    piece.push_back({at(k), at(k + 1)});
  }
  const std::size_t n = piece.size();
  const auto size = static_cast<Eigen::Index>(n * positions.size());
  Eigen::MatrixXd potentials(size, size);
  for (std::size_t i = 0; i < positions.size(); ++i) {
    for (std::size_t j = 0; j < positions.size(); ++j) {
      const double apart_m =
          std::hypot(positions[i].x_m - positions[j].x_m, positions[i].y_m - positions[j].y_m);
      for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t l = 0; l < n; ++l) {
          const Piece image{-piece[l].to_m, -piece[l].from_m};
          const double direct = i == j ? mean_inverse_distance_on_tube(piece[k], piece[l], radius_m)
                                       : mean_inverse_distance(piece[k], piece[l], apart_m);
          const double mirrored = mean_inverse_distance(piece[k], image, i == j ? radius_m : apart_m);
          potentials(static_cast<Eigen::Index>(i * n + k), static_cast<Eigen::Index>(j * n + l)) =
              (direct + mirrored) / (4.0 * std::numbers::pi);
        }
      }
    }
  }
  return resistance_per_m(potentials);
}

/// A straight bar lying at a depth. [1/m]
struct LyingBar {
  double length_m;
  double radius_m;
  double depth_m;
  double end_ratio;  // end_of_solid_bar, or 0 for a strip
};

inline double lying_bar_per_m(const LyingBar& bar, int pieces = 40) {
  const double half_m = bar.length_m / 2.0 + bar.end_ratio * bar.radius_m;
  std::vector<Piece> piece;
  for (int k = 0; k < pieces; ++k) {
    const auto at = [&](int i) { return -half_m * std::cos(std::numbers::pi * i / pieces); };
    piece.push_back({at(k), at(k + 1)});
  }
  Eigen::MatrixXd potentials(pieces, pieces);
  for (int k = 0; k < pieces; ++k) {
    for (int l = 0; l < pieces; ++l) {
      const Piece& a = piece[static_cast<std::size_t>(k)];
      const Piece& b = piece[static_cast<std::size_t>(l)];
      potentials(k, l) = (mean_inverse_distance_on_tube(a, b, bar.radius_m) +
                          mean_inverse_distance(a, b, 2.0 * bar.depth_m)) /
                         (4.0 * std::numbers::pi);
    }
  }
  return resistance_per_m(potentials);
}

/// Radius of the round bar with the outside field of a strip of unit width: a quarter if it is thin (exact);
/// 0.3076 if it is an eighth as thick as wide (logarithmic capacity of that rectangle, boundary elements of
/// 360 pieces, which give 0.5902 for a square, exact 0.59017).
constexpr double thin_strip_radius_ratio = 0.25;
constexpr double thick_strip_radius_ratio = 0.3076;

/// Joined rods, in fewer pieces each the more there are.
template <typename Group>
double group_per_m(const Group& group) {
  const auto positions = rod_positions(group);
  return rods_per_m(group.rod, positions, std::clamp(160 / static_cast<int>(positions.size()), 6, 20));
}

/// Truth of any shape; of a tape the thin one. [1/m]
inline double factor_per_m(const ohmroot::electrode::Shape& shape) {
  using namespace ohmroot::electrode;
  struct Truth {
    double operator()(const Rod& rod) const { return rods_per_m(rod, {{0.0, 0.0}}, 30); }
    double operator()(const RodLine& group) const { return group_per_m(group); }
    double operator()(const RodSquare& group) const { return group_per_m(group); }
    double operator()(const RodTriangle& group) const { return group_per_m(group); }
    double operator()(const Tape& tape) const {
      return lying_bar_per_m({tape.length_m, thin_strip_radius_ratio * tape.width_m, tape.depth_m, 0.0});
    }
    double operator()(const RoundConductor& bar) const {
      return lying_bar_per_m({bar.length_m, bar.diameter_m / 2.0, bar.depth_m, end_of_solid_bar});
    }
    // A thin ring leaks evenly by symmetry: potential of a charged circle and of its image.
    double operator()(const Ring& ring) const {
      const double d = ring.ring_diameter_m;
      const double k = d / std::hypot(d, 2.0 * ring.depth_m);
      return (std::log(8.0 * d / ring.conductor_diameter_m) + k * boost::math::ellint_1(k)) /
             (2.0 * std::numbers::pi * std::numbers::pi * d);
    }
    double operator()(const RectangularPlate&) const {
      throw std::logic_error("plates are compared in tests/bodies");
    }
    double operator()(const Mesh&) const {
      throw std::logic_error("meshes are compared with the field solution, mesh_test.cpp");
    }
  };
  return std::visit(Truth{}, shape);
}

}  // namespace equipotential
