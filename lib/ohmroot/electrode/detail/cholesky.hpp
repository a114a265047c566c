// SPDX-License-Identifier: MIT
#pragma once

#include <Eigen/Dense>

namespace ohmroot::electrode::detail {

/// Solves A X = B for a symmetric positive definite A, lower triangle given, overwritten by its factor.
/// Returns false, B spoilt, if A is not positive definite. On a processor with AVX2 by code for it, chosen at
/// run time: three times as fast as the plain one (tests/bench), the last digits may differ.
[[nodiscard]] bool solve_positive_definite(Eigen::MatrixXd& matrix, Eigen::MatrixXd& right_sides);

}  // namespace ohmroot::electrode::detail
