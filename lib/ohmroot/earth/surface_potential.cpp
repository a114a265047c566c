// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/images.hpp>
#include <ohmroot/earth/detail/ray_filter.hpp>
#include <ohmroot/earth/detail/transform.hpp>
#include <ohmroot/earth/surface_potential.hpp>

#include <boost/math/quadrature/gauss.hpp>

#include <numbers>

namespace ohmroot::earth {
namespace {

/// Half gap over distance below which a difference of two potentials would lose more than two digits.
constexpr double small_gap_ratio = 0.005;

bool is_quick_by_images(const LayeredSoil& soil, double distance_m) {
  return soil.layers().size() == 2 &&
         distance_m <= detail::greatest_image_distance_ratio * soil.layers().front().thickness_m;
}

}  // namespace

double surface_potential_ohm(const LayeredSoil& soil, double distance_m) {
  require_positive("distance_m", distance_m, "m");
  if (soil.is_uniform())
    return soil.layers().front().resistivity_ohm_m / (2.0 * std::numbers::pi * distance_m);
  if (is_quick_by_images(soil, distance_m)) return detail::image_potential_ohm(soil, distance_m);
  return detail::ray_potential_ohm(soil, distance_m);
}

double surface_potential_difference_ohm(const LayeredSoil& soil, const DistancePair& distance) {
  const auto& [middle_m, half_gap_m] = distance;
  require_positive("distance.half_gap_m", half_gap_m, "m");
  require_positive("distance.middle_m", middle_m, "m");
  if (half_gap_m >= middle_m)
    throw DomainError("distance.half_gap_m", half_gap_m, "m", "less than distance.middle_m");
  const double near_m = middle_m - half_gap_m;
  const double far_m = middle_m + half_gap_m;
  if (soil.is_uniform())
    return soil.layers().front().resistivity_ohm_m * half_gap_m / (std::numbers::pi * near_m * far_m);
  if (half_gap_m > small_gap_ratio * middle_m)
    return surface_potential_ohm(soil, near_m) - surface_potential_ohm(soil, far_m);
  const auto field = [&](double from_middle_m) {
    return detail::ray_field_ohm_per_m(soil, middle_m + from_middle_m);
  };
  return boost::math::quadrature::gauss<double, 7>::integrate(field, -half_gap_m, half_gap_m);
}

double resistivity_transform_ohm_m(const LayeredSoil& soil, double wavenumber_per_m) {
  require_not_negative("wavenumber_per_m", wavenumber_per_m, "1/m");
  return detail::resistivity_transform(soil, wavenumber_per_m);
}

}  // namespace ohmroot::earth
