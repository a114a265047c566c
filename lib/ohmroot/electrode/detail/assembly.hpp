// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>
#include <ohmroot/electrode/detail/symmetry.hpp>

namespace ohmroot::electrode::detail {

[[nodiscard]] Eigen::Index element_count(const std::vector<Piece>& pieces);

/// A number for each piece: equal for pieces that are alike but for their place and direction in plan.
[[nodiscard]] std::vector<std::size_t> patterns_of(const std::vector<Piece>& pieces);

/// Potentials of the elements per ampere from the others, symmetric, lower triangle filled: a row and a column
/// for each unknown, which stands for all elements that are alike by symmetry; an entry is the sum over the
/// elements of both, of mean potential per ampere. Blocks of pairs of pieces that lie to each other as another
/// pair does are computed once. [V/A]
[[nodiscard]] Eigen::MatrixXd influence_matrix(const earth::ImageKernel& kernel,
                                               const std::vector<Piece>& pieces, const Symmetry& symmetry);

}  // namespace ohmroot::electrode::detail
