// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/floor.hpp>

#include <boost/math/special_functions/ellint_rf.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

namespace {

using detail::require_length;

/// The half in soil carries half the current of the whole ellipsoid in an unbounded medium, whose resistance
/// is rho / (4 pi) R_F(a^2, b^2, c^2).
double factor_per_m(const SemiAxes& axes) {
  return boost::math::ellint_rf(axes.along_m * axes.along_m, axes.across_m * axes.across_m,
                                axes.down_m * axes.down_m) /
         (2.0 * std::numbers::pi);
}

}  // namespace

double half_ellipsoid_factor_per_m(const SemiAxes& axes) {
  require_length("along_m", axes.along_m);
  require_length("across_m", axes.across_m);
  require_length("down_m", axes.down_m);
  return factor_per_m(axes);
}

double ellipsoid_floor_bound_per_m(const ReachableVolume& volume) {
  require_length("length_m", volume.length_m);
  require_length("width_m", volume.width_m);
  require_length("depth_m", volume.depth_m);
  // (x/a)^2 + (y/b)^2 + (z/c)^2 is 1 at the lower corners of the block: the surface passes through them.
  const double blow_up = std::numbers::sqrt3;
  return factor_per_m(
      {blow_up * volume.length_m / 2.0, blow_up * volume.width_m / 2.0, blow_up * volume.depth_m});
}

int least_count_bound(const SeparateElectrodes& question) {
  require_positive("one_electrode_ohm", question.one_electrode_ohm, "ohm");
  require_positive("limit_ohm", question.limit_ohm, "ohm");
  constexpr double most = 1e6;
  constexpr double rounding = 1e-12;  // 0.3 ohm against 0.1 ohm is 3, not 4, whatever their last binary digit
  const double quotient = question.one_electrode_ohm / question.limit_ohm;
  const double count = std::max(1.0, std::ceil(quotient * (1.0 - rounding)));
  if (!(count <= most)) {
    throw DomainError("one_electrode_ohm / limit_ohm", quotient, "", "at most 1 000 000");
  }
  return static_cast<int>(count);
}

}  // namespace ohmroot::electrode
