// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

#include <Eigen/Dense>

#include <cstddef>
#include <vector>

namespace ohmroot::electrode::detail {

/// The fill about one conductor: voltages from its bar to the soil, element by element, per ampere that leaves each into
/// the soil. Through the fill as a coaxial layer, and along it, which evens out what changes within a few radii: of all
/// ways to do both, that of the least loss (Thomson's principle). [V/A]
struct FillResistance {
  std::size_t first_element;
  Eigen::MatrixXd of_element_ohm;
};
[[nodiscard]] std::vector<FillResistance> fill_resistances(const std::vector<Piece>& pieces);

/// Voltages from bar to soil of all elements at given currents; 0 without a fill. [V]
[[nodiscard]] Eigen::VectorXd fill_voltages_v(const std::vector<Piece>& pieces,
                                              const Eigen::VectorXd& currents);

/// By which part of its radius a fill that ends with its bar acts to be longer, as flat_end_ratio of a solid bar: near the
/// end the current finds shorter ways than straight through, and the bar's own end leaks. Depends on the radius of the
/// fill over the bar's, 1 to 50, and on its resistivity over the soil's alone (computed, axisymmetric finite elements,
/// reference/fem/run_filled: columns 1.5 to 6 m long agree to 0.001).
[[nodiscard]] double filled_end_ratio(double radius_ratio, double resistivity_ratio);

/// A solid bar with a flat end acts as a thin tube longer by this part of its radius at each free end: the
/// same factor for slendernesses 133 to 480, to 3 digits (computed, axisymmetric boundary elements).
inline constexpr double flat_end_ratio = 0.0989;

}  // namespace ohmroot::electrode::detail
