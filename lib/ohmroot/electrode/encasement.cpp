// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/encasement.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

namespace {

using std::numbers::pi;

void require_valid_encasement(const EncasedRod& rod) {
  require_valid(Shape{rod.rod});
  constexpr double stoutest_ratio = 0.1;
  require_within("fill_diameter_m", rod.fill_diameter_m, "m",
                 {rod.rod.diameter_m, std::max(rod.rod.diameter_m, stoutest_ratio * rod.rod.length_m)});
  require_within("fill_resistivity_ohm_m", rod.fill_resistivity_ohm_m, "ohm m", {0.01, 1e6});
}

/// Resistance of a metre of the fill, from the rod to its outside. [ohm m]
double fill_ohm_m(const EncasedRod& rod) {
  return rod.fill_resistivity_ohm_m * std::log(rod.fill_diameter_m / rod.rod.diameter_m) / (2.0 * pi);
}

}  // namespace

EncasedResistance encased_rod_bounds(const earth::LayeredSoil& soil, const EncasedRod& rod) {
  require_valid_encasement(rod);
  const Conductor column{{0.0, 0.0, 0.0}, {0.0, 0.0, rod.rod.length_m}, rod.fill_diameter_m / 2.0};
  const FieldSolution field = solve_field(soil, {{"column", {column}}});
  const double column_ohm = field.resistance_ohm(0, 0);
  const double error_ohm = column_ohm * field.estimate_ratio();
  const Duty one_ampere{DutyKind::current, 1.0};
  double losses_per_m = 0.0;  // int i^2 dz of the leakage i, one ampere in sum
  for (const Leakage& element : field.leakage(field.state({&one_ampere, 1})))
    losses_per_m += element.current_a * element.current_a / (element.to_m - element.from_m);
  return {column_ohm - error_ohm + fill_ohm_m(rod) / rod.rod.length_m,
          column_ohm + error_ohm + fill_ohm_m(rod) * losses_per_m};
}

double encased_rod_formula_ohm(double soil_resistivity_ohm_m, const EncasedRod& rod) {
  require_positive("soil_resistivity_ohm_m", soil_resistivity_ohm_m, "ohm m");
  require_valid_encasement(rod);
  const double column = std::log(8.0 * rod.rod.length_m / rod.fill_diameter_m) - 1.0;
  return (soil_resistivity_ohm_m * column / (2.0 * pi) + fill_ohm_m(rod)) / rod.rod.length_m;
}

double foundation_factor_per_m(double volume_m3) {
  require_within("volume_m3", volume_m3, "m3", {1e-9, 1e9});
  return 0.2 / std::cbrt(volume_m3);
}

}  // namespace ohmroot::electrode
