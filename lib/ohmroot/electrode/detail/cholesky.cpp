// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/cholesky.hpp>
#include <ohmroot/electrode/detail/raw_matrix.hpp>

namespace ohmroot::electrode::detail {

bool solve_positive_definite(Eigen::MatrixXd& matrix, Eigen::MatrixXd& right_sides) {
  if (const CholeskySolve solve = avx2_cholesky())
    return solve({matrix.data(), matrix.rows(), matrix.cols()},
                 {right_sides.data(), right_sides.rows(), right_sides.cols()});
  const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> factored(matrix);
  if (factored.info() != Eigen::Success) return false;
  factored.solveInPlace(right_sides);
  return true;
}

}  // namespace ohmroot::electrode::detail
