// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/rule.hpp>
#include <ohmroot/electrode/plate.hpp>

#include <algorithm>
#include <array>

namespace ohmroot::electrode::detail {

namespace {

double on_surface(const RectangularPlate& plate) {
  return plate_factor_on_surface_per_m(plate.length_m * plate.width_m);
}

double at_depth(const RectangularPlate& plate) {
  return plate_factor_at_depth_per_m({plate.length_m * plate.width_m, plate.depth_m});
}

std::string beyond_box(const RectangularPlate& plate) {
  const auto [shorter_m, longer_m] = std::minmax(plate.length_m, plate.width_m);
  return first_of({beyond({"the longer side", "times the shorter", 1.0, 3.0}, longer_m / shorter_m),
                   beyond({"the depth", "times the shorter side", 0.5, 100.0}, plate.depth_m / shorter_m)});
}

constexpr std::string_view symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; A = area of one "
                                     "side [m2]; r = sqrt(A/pi) [m]; h = depth of "
                                     "the centre [m]";
constexpr std::string_view box = "sides up to 3 : 1, the centre at least half the shorter side deep";

// Bands: plate_resistance() over the box, lying and upright, gives 0.462 to 0.693 of the first and 0.915 to 1.030 of the
// second.
constexpr std::array<Rule<RectangularPlate>, 2> rules{{
    {{.id = "plate-on-surface",
      .title = "Plate, disc of equal area on the surface",
      .expression = "R = (rho/4) sqrt(pi/A)",
      .symbols = symbols,
      .source = "BS 7430:2011 cl. 9.5: from memory",
      .valid = box,
      .least_truth_ratio = 0.45,
      .greatest_truth_ratio = 0.71,
      .is_published = true},
     on_surface,
     beyond_box},
    {{.id = "plate-at-depth",
      .title = "Plate, lying disc of equal area at its depth",
      .expression = "R = rho/(8 r) [1 + r/(2.5 h + r)]",
      .symbols = symbols,
      .source = "ENA EREC S34: from memory",
      .valid = box,
      .least_truth_ratio = 0.90,
      .greatest_truth_ratio = 1.05,
      .is_published = true},
     at_depth,
     beyond_box},
}};

}  // namespace

std::span<const Rule<RectangularPlate>> rules_for(const RectangularPlate&) {
  return rules;
}

}  // namespace ohmroot::electrode::detail
