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

}  // namespace ohmroot::electrode::detail
