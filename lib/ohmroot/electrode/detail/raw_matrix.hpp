// SPDX-License-Identifier: MIT
#pragma once

namespace ohmroot::electrode::detail {

/// A matrix in column order.
struct RawMatrix {
  double* data;
  long rows;
  long columns;
};

/// Solves A X = B in place for a symmetric positive definite A, lower triangle given, overwritten by its
/// factor; false, B spoilt, if A is not positive definite.
using CholeskySolve = bool (*)(const RawMatrix& matrix, const RawMatrix& right_sides);

/// Null where the compiler or the processor has none.
[[nodiscard]] CholeskySolve avx2_cholesky();

}  // namespace ohmroot::electrode::detail
