// SPDX-License-Identifier: MIT
// The one source compiled for a second instruction set. Standard headers come first, so that none of their
// inline functions is compiled for it; Eigen's come under a name of their own, so that the linker cannot
// mix them with the plain ones.
#include <ohmroot/electrode/detail/raw_matrix.hpp>

#include <climits>

#include <algorithm>
#include <array>
#include <cassert>
#include <cerrno>
#include <cfloat>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <iosfwd>
#include <limits>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define OHMROOT_HAS_AVX2 1
#include <immintrin.h>
#pragma GCC push_options
#pragma GCC target("avx2,fma")
#ifndef __AVX2__  // GCC before 13 compiles C++ for the target without saying so to the preprocessor
#define __SSE3__ 1
#define __SSSE3__ 1
#define __SSE4_1__ 1
#define __SSE4_2__ 1
#define __AVX__ 1
#define __AVX2__ 1
#define __FMA__ 1
#endif
#define Eigen ohmroot_avx2_eigen
#include <Eigen/Cholesky>
#undef Eigen
#endif

namespace ohmroot::electrode::detail {

#ifdef OHMROOT_HAS_AVX2
namespace {

bool solve(const RawMatrix& matrix, const RawMatrix& right_sides) {
  using Map = ohmroot_avx2_eigen::Map<ohmroot_avx2_eigen::MatrixXd>;
  Map a(matrix.data, matrix.rows, matrix.columns);
  Map b(right_sides.data, right_sides.rows, right_sides.columns);
  const ohmroot_avx2_eigen::LLT<ohmroot_avx2_eigen::Ref<ohmroot_avx2_eigen::MatrixXd>> factored(a);
  if (factored.info() != ohmroot_avx2_eigen::Success) return false;
  factored.solveInPlace(b);
  return true;
}

}  // namespace

CholeskySolve avx2_cholesky() {
  return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") ? &solve : nullptr;
}
#pragma GCC pop_options
#else
CholeskySolve avx2_cholesky() {
  return nullptr;
}
#endif

}  // namespace ohmroot::electrode::detail
