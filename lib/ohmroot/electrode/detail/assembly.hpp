// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

namespace ohmroot::electrode::detail {

[[nodiscard]] Eigen::Index element_count(const std::vector<Piece>& pieces);

/// A number for each piece: equal for pieces that are alike but for their place and direction in plan.
[[nodiscard]] std::vector<std::size_t> patterns_of(const std::vector<Piece>& pieces);

/// Mean potential of every element per ampere from every other: symmetric, lower triangle filled. Blocks of
/// pairs of pieces that lie to each other as another pair does are computed once. [V/A]
[[nodiscard]] Eigen::MatrixXd influence_matrix(const earth::ImageKernel& kernel,
                                               const std::vector<Piece>& pieces);

}  // namespace ohmroot::electrode::detail
