// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/earth/surface_potential.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

namespace ohmroot::sounding {
namespace {

/// Median depth of a Wenner array over its spacing: the root of 2 / sqrt(1 + 4 z^2) - 1 / sqrt(1 + z^2) = 1/2.
constexpr double wenner_median_depth_ratio = 0.51902;
/// Below this part of the whole, what is left of 1/r differences is the rounding of the coordinates.
constexpr double least_part_ratio = 1e-9;

void require_inside(const FourPoleReading& reading) {
  if (reading.half_potential_spacing_m + std::abs(reading.potential_offset_m) >=
      reading.half_current_spacing_m)
    throw DomainError("reading.half_potential_spacing_m", reading.half_potential_spacing_m, "m",
                      "less than reading.half_current_spacing_m (MN inside AB)");
}

StakeView view(double to_m_m, double to_n_m) {
  return {0.5 * (to_m_m + to_n_m), 0.5 * (to_n_m - to_m_m)};
}

/// From a current stake to M and N on one line with it, whose middle lies middle_m from it, M before N.
/// Formed so that a short MN loses no digit.
StakeView view_on_line(double middle_m, double half_gap_m) {
  if (middle_m >= half_gap_m) return {middle_m, half_gap_m};
  if (middle_m <= -half_gap_m) return {-middle_m, -half_gap_m};
  return view(half_gap_m - middle_m, half_gap_m + middle_m);  // it stands between M and N
}

double distance_m(const StakePlace& a, const StakePlace& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m);
}

void require_finite_places(const StakePlaces& places) {
  for (const StakePlace& place :
       {places.current_a, places.current_b, places.potential_m, places.potential_n}) {
    require_finite("reading.places.x_m", place.x_m, "m");
    require_finite("reading.places.y_m", place.y_m, "m");
  }
}

ArrayView view_of_places(const FourPoleReading& reading) {
  if (!reading.places)
    throw DomainError("reading.places", "absent", "coordinates of all four stakes of a four-point reading");
  const StakePlaces& p = *reading.places;
  require_finite_places(p);
  return {view(distance_m(p.current_a, p.potential_m), distance_m(p.current_a, p.potential_n)),
          view(distance_m(p.current_b, p.potential_m), distance_m(p.current_b, p.potential_n)), 1.0};
}

ArrayView view_of_line(const FourPoleReading& reading) {
  require_positive("reading.half_potential_spacing_m", reading.half_potential_spacing_m, "m");
  require_positive("reading.half_current_spacing_m", reading.half_current_spacing_m, "m");
  require_finite("reading.potential_offset_m", reading.potential_offset_m, "m");
  if (reading.array == Array::wenner || reading.array == Array::schlumberger) require_inside(reading);
  const double L = reading.half_current_spacing_m;
  const double l = reading.half_potential_spacing_m;
  const double x = reading.potential_offset_m;
  return {view_on_line(x + L, l), view_on_line(x - L, l), 1.0};
}

/// 1/r at M less that at N, images in the surface for contacts at depth_m included; without cancellation.
/// Throws DomainError where a current stake stands on a potential stake.
double kernel_difference_per_m(const StakeView& seen, double depth_m) {
  const double near_m = seen.middle_m - seen.half_gap_m;
  const double far_m = seen.middle_m + seen.half_gap_m;
  if (!(near_m > 0.0 && far_m > 0.0))
    throw DomainError("reading", "a current stake on a potential stake", "four stakes apart from each other");
  const double near_image_m = std::hypot(near_m, 2.0 * depth_m);
  const double far_image_m = std::hypot(far_m, 2.0 * depth_m);
  const double direct_per_m = 2.0 * seen.half_gap_m / (near_m * far_m);
  const double image_per_m =
      4.0 * seen.middle_m * seen.half_gap_m / (near_image_m * far_image_m * (near_image_m + far_image_m));
  return direct_per_m + image_per_m;
}

double signed_kernel_per_m(const ArrayView& array, double depth_m) {
  return kernel_difference_per_m(array.from_a, depth_m) - kernel_difference_per_m(array.from_b, depth_m);
}

double point_contact_factor_m(const ArrayView& array, double depth_m) {
  return 4.0 * std::numbers::pi / (array.sense_ratio * signed_kernel_per_m(array, depth_m));
}

double surface_difference_ohm(const earth::LayeredSoil& soil, const StakeView& seen) {
  if (seen.half_gap_m == 0.0) return 0.0;
  const double size = std::abs(seen.half_gap_m);
  const double difference_ohm = earth::surface_potential_difference_ohm(soil, {seen.middle_m, size});
  return seen.half_gap_m > 0.0 ? difference_ohm : -difference_ohm;
}

/// Both current stakes see the same two distances.
bool is_mirrored(const ArrayView& array) {
  return array.from_a.middle_m == array.from_b.middle_m &&
         array.from_a.half_gap_m == -array.from_b.half_gap_m;
}

double surface_resistance_ohm(const earth::LayeredSoil& soil, const ArrayView& array) {
  if (is_mirrored(array)) return 2.0 * array.sense_ratio * surface_difference_ohm(soil, array.from_a);
  return array.sense_ratio *
         (surface_difference_ohm(soil, array.from_a) - surface_difference_ohm(soil, array.from_b));
}

double difference_at_depth_ohm(const earth::LayeredSoil& soil, const StakeView& seen, double depth_m) {
  const auto potential_ohm = [&](double distance_m) {
    return earth::point_potential_ohm(soil, {distance_m, depth_m, depth_m});
  };
  return potential_ohm(seen.middle_m - seen.half_gap_m) - potential_ohm(seen.middle_m + seen.half_gap_m);
}

/// Part of a reading over uniform soil that comes from below depth_m: its sensitivity, summed over the plan,
/// falls with depth as 1 / sqrt(r^2 + 4 z^2) for each pair of stakes.
double part_below(const ArrayView& array, double depth_m) {
  const auto image_per_m = [&](const StakeView& seen) {
    return 1.0 / std::hypot(seen.middle_m - seen.half_gap_m, 2.0 * depth_m) -
           1.0 / std::hypot(seen.middle_m + seen.half_gap_m, 2.0 * depth_m);
  };
  return 2.0 * (image_per_m(array.from_a) - image_per_m(array.from_b)) / signed_kernel_per_m(array, 0.0);
}

}  // namespace

ArrayView view_of(const FourPoleReading& reading) {
  ArrayView array = reading.array == Array::four_points ? view_of_places(reading) : view_of_line(reading);
  const double kernel_per_m = signed_kernel_per_m(array, 0.0);
  double whole_per_m = 0.0;
  for (const StakeView& seen : {array.from_a, array.from_b})
    whole_per_m += 1.0 / (seen.middle_m - seen.half_gap_m) + 1.0 / (seen.middle_m + seen.half_gap_m);
  // A short MN is measured all the same: what counts against the whole is the balance of A and B, not of M and N.
  const double parts_per_m = std::abs(kernel_difference_per_m(array.from_a, 0.0)) +
                             std::abs(kernel_difference_per_m(array.from_b, 0.0));
  if (!(std::abs(kernel_per_m) > least_part_ratio * parts_per_m) ||
      !(parts_per_m > 1e-6 * least_part_ratio * whole_per_m))
    throw DomainError("reading", "M and N at one potential over uniform soil",
                      "an array that sees a voltage between M and N");
  array.sense_ratio = kernel_per_m > 0.0 ? 1.0 : -1.0;
  return array;
}

std::vector<PotentialTerm> potential_terms(const FourPoleReading& reading) {
  const ArrayView array = view_of(reading);
  std::vector<PotentialTerm> terms;
  const auto add = [&](const StakeView& seen, double weight_ratio) {
    if (seen.half_gap_m == 0.0) return;
    terms.push_back({seen.middle_m - seen.half_gap_m, weight_ratio});
    terms.push_back({seen.middle_m + seen.half_gap_m, -weight_ratio});
  };
  if (is_mirrored(array)) {
    add(array.from_a, 2.0 * array.sense_ratio);
  } else {
    add(array.from_a, array.sense_ratio);
    add(array.from_b, -array.sense_ratio);
  }
  return terms;
}

double effective_stake_depth_m(const FourPoleReading& reading, StakeDepthRule rule) {
  require_not_negative("reading.driven_depth_m", reading.driven_depth_m, "m");
  if (rule == StakeDepthRule::handbook || reading.contact == StakeContact::insulated)
    return reading.driven_depth_m;
  return reading.driven_depth_m / std::numbers::sqrt3;
}

double geometric_factor_m(const FourPoleReading& reading, StakeDepthRule rule) {
  return point_contact_factor_m(view_of(reading), effective_stake_depth_m(reading, rule));
}

double apparent_resistivity_ohm_m(const FourPoleReading& reading, StakeDepthRule rule) {
  require_positive("reading.resistance_ohm", reading.resistance_ohm, "ohm");
  if (reading.is_lower_bound)
    throw DomainError("reading.is_lower_bound", "true",
                      "a reading, not the bound of one that was over range");
  return geometric_factor_m(reading, rule) * reading.resistance_ohm;
}

std::string_view stake_depth_note(const FourPoleReading& reading, StakeDepthRule rule) {
  if (reading.driven_depth_m == 0.0) return "stake depth not stated or zero: contacts taken at the surface";
  if (reading.contact == StakeContact::insulated)
    return "stakes insulated down to the tip: contact at the driven depth, as the handbook formula means it";
  if (rule == StakeDepthRule::handbook)
    return "driven length put into the handbook formula as its depth: over-corrects bare stakes, which act "
           "at "
           "0.58 of their length";
  return "bare stakes: contact at driven length / sqrt(3), where a point stands for the whole bare length";
}

double modelled_apparent_resistivity_ohm_m(const earth::LayeredSoil& soil, const FourPoleReading& reading) {
  const ArrayView array = view_of(reading);
  return point_contact_factor_m(array, 0.0) * surface_resistance_ohm(soil, array);
}

double modelled_resistance_ohm(const earth::LayeredSoil& soil, const FourPoleReading& reading,
                               StakeDepthRule rule) {
  const ArrayView array = view_of(reading);
  const double depth_m = effective_stake_depth_m(reading, rule);
  if (depth_m == 0.0) return surface_resistance_ohm(soil, array);
  return array.sense_ratio * (difference_at_depth_ohm(soil, array.from_a, depth_m) -
                              difference_at_depth_ohm(soil, array.from_b, depth_m));
}

double median_depth_m(const FourPoleReading& reading) {
  const ArrayView array = view_of(reading);
  const auto excess = [&](double depth_m) { return part_below(array, depth_m) - 0.5; };
  double greatest_m = std::max(array.from_a.middle_m, array.from_b.middle_m);
  while (excess(greatest_m) > 0.0)
    greatest_m *= 2.0;
  std::uintmax_t step_count = 200;
  const auto bracket =
      boost::math::tools::toms748_solve(excess, 0.0, greatest_m, 0.5, excess(greatest_m),
                                        boost::math::tools::eps_tolerance<double>(40), step_count);
  return 0.5 * (bracket.first + bracket.second);
}

double equivalent_wenner_spacing_m(const FourPoleReading& reading) {
  return reading.array == Array::wenner ? 2.0 * reading.half_potential_spacing_m
                                        : median_depth_m(reading) / wenner_median_depth_ratio;
}

double plotted_spacing_m(const FourPoleReading& reading) {
  switch (reading.array) {
  case Array::wenner:
  case Array::wenner_beta:
    return 2.0 * reading.half_potential_spacing_m;
  case Array::wenner_gamma:
    return reading.half_potential_spacing_m;
  case Array::schlumberger:
    return reading.half_current_spacing_m;
  default:
    return equivalent_wenner_spacing_m(reading);
  }
}

}  // namespace ohmroot::sounding
