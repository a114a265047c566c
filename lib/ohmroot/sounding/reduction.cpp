// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/surface_potential.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <cmath>
#include <numbers>

namespace ohmroot::sounding {
namespace {

void require_array(const FourPoleReading& reading) {
  require_positive("reading.half_potential_spacing_m", reading.half_potential_spacing_m, "m");
  require_positive("reading.half_current_spacing_m", reading.half_current_spacing_m, "m");
  if (reading.half_potential_spacing_m >= reading.half_current_spacing_m)
    throw DomainError("reading.half_potential_spacing_m", reading.half_potential_spacing_m, "m",
                      "less than reading.half_current_spacing_m (MN inside AB)");
}

/// Geometric factor of four point contacts at one depth. With L = AB/2, l = MN/2 the two current stakes see
/// the potential stakes at L - l and L + l; the differences of 1/r are formed so that none loses digits
/// when MN is short.
double point_contact_factor_m(const FourPoleReading& reading, double depth_m) {
  const double L = reading.half_current_spacing_m;
  const double l = reading.half_potential_spacing_m;
  const double near_m = L - l;
  const double far_m = L + l;
  const double direct_per_m = 2.0 * l / (near_m * far_m);
  const double near_image_m = std::hypot(near_m, 2.0 * depth_m);
  const double far_image_m = std::hypot(far_m, 2.0 * depth_m);
  const double image_per_m = 4.0 * L * l / (near_image_m * far_image_m * (near_image_m + far_image_m));
  return 2.0 * std::numbers::pi / (direct_per_m + image_per_m);
}

}  // namespace

double effective_stake_depth_m(const FourPoleReading& reading, StakeDepthRule rule) {
  require_not_negative("reading.driven_depth_m", reading.driven_depth_m, "m");
  if (rule == StakeDepthRule::handbook || reading.contact == StakeContact::insulated)
    return reading.driven_depth_m;
  return reading.driven_depth_m / std::numbers::sqrt3;
}

double geometric_factor_m(const FourPoleReading& reading, StakeDepthRule rule) {
  require_array(reading);
  return point_contact_factor_m(reading, effective_stake_depth_m(reading, rule));
}

double apparent_resistivity_ohm_m(const FourPoleReading& reading, StakeDepthRule rule) {
  require_positive("reading.resistance_ohm", reading.resistance_ohm, "ohm");
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
  require_array(reading);
  // Each of the two current stakes gives the same difference between M and N.
  const double resistance_ohm =
      2.0 * earth::surface_potential_difference_ohm(
                soil, {reading.half_current_spacing_m, reading.half_potential_spacing_m});
  return point_contact_factor_m(reading, 0.0) * resistance_ohm;
}

}  // namespace ohmroot::sounding
