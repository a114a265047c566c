// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/encasement.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

using std::numbers::pi;

void require_valid(const EncasedRod& rod) {
  require_valid(Shape{rod.rod});
  constexpr double stoutest_ratio = 0.1;
  const double rod_m = rod.rod.diameter_m;
  require_within("fill_diameter_m", rod.fill_diameter_m, "m",
                 {rod_m, std::max(rod_m, stoutest_ratio * rod.rod.length_m)});
  require_within("fill_resistivity_ohm_m", rod.fill_resistivity_ohm_m, "ohm m", {0.01, 1e6});
}

double encased_rod_formula_ohm(double soil_resistivity_ohm_m, const EncasedRod& rod) {
  require_positive("soil_resistivity_ohm_m", soil_resistivity_ohm_m, "ohm m");
  require_valid(rod);
  const double column = std::log(8.0 * rod.rod.length_m / rod.fill_diameter_m) - 1.0;
  const double fill = std::log(rod.fill_diameter_m / rod.rod.diameter_m);
  return (soil_resistivity_ohm_m * column + rod.fill_resistivity_ohm_m * fill) /
         (2.0 * pi * rod.rod.length_m);
}

double foundation_factor_per_m(double volume_m3) {
  require_within("volume_m3", volume_m3, "m3", {1e-9, 1e9});
  return 0.2 / std::cbrt(volume_m3);
}

}  // namespace ohmroot::electrode
