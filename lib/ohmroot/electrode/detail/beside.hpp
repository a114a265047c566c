// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

namespace ohmroot::electrode::detail {

/// What two levels of elements say about potentials a metre beside the metal.
struct BesideDifference {
  double greatest_ratio;             ///< greatest difference of a potential, relative to it
  Eigen::VectorXd of_element_ratio;  ///< greatest part of each coarse element in such a difference
};

/// Both levels' currents, elements x electrodes: one ampere into one electrode, the others floating.
struct TwoLevels {
  const std::vector<Piece>& fine;
  const Eigen::MatrixXd& fine_currents;
  const std::vector<Piece>& coarse;
  const Eigen::MatrixXd& coarse_currents;
  const Eigen::VectorXd& first_part_ratio;  ///< of each coarse element: length of its first half over its own
};

/// Places a metre beside both halves and the middle cut of every coarse element, at the surface for metal
/// less than a metre deep and else at its own depth; places inside metal are left out.
[[nodiscard]] BesideDifference difference_beside(const earth::ImageKernel& kernel, const TwoLevels& levels);

}  // namespace ohmroot::electrode::detail
