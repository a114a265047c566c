// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

namespace ohmroot::electrode::detail {

/// Mean potential of each element of one piece per ampere that leaks evenly from each element of another:
/// rows the receiver's elements, columns the source's. [V/A]
[[nodiscard]] Eigen::MatrixXd influence_block(const earth::ImageKernel& kernel, const Piece& receiver,
                                              const Piece& source);

/// Potential at a point outside the metal per ampere from each element of a piece. [V/A]
[[nodiscard]] Eigen::VectorXd influence_at(const earth::ImageKernel& kernel, const Eigen::Vector3d& point,
                                           const Piece& source);

}  // namespace ohmroot::electrode::detail
