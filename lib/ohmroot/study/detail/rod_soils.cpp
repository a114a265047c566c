// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/study/detail/rod_soils.hpp>

#include <array>
#include <cmath>
#include <limits>

namespace ohmroot::study::detail {

namespace {

earth::LayeredSoil scaled_soil(const earth::LayeredSoil& soil, double factor_ratio) {
  std::vector<earth::Layer> layers = soil.layers();
  for (earth::Layer& layer : layers)
    layer.resistivity_ohm_m *= factor_ratio;
  return earth::LayeredSoil(std::move(layers));
}

/// Two layers of every contrast and depth of boundary, the upper one of 1 ohm m.
std::vector<earth::LayeredSoil> unit_soils(double rod_length_m) {
  constexpr std::array contrast_ratios{0.01, 0.1, 0.3, 3.0, 10.0, 100.0};
  constexpr std::array boundary_ratios{0.2, 0.5, 0.9, 1.1, 2.0, 4.0};  // of the rod's length
  constexpr double endless_m = std::numeric_limits<double>::infinity();
  std::vector<earth::LayeredSoil> soils{earth::LayeredSoil(1.0)};
  for (const double contrast_ratio : contrast_ratios) {
    for (const double boundary_ratio : boundary_ratios)
      soils.push_back(
          earth::LayeredSoil({{1.0, boundary_ratio * rod_length_m}, {contrast_ratio, endless_m}}));
  }
  return soils;
}

}  // namespace

AllowedSoils soils_of(const SoilFromRod& reading) {
  require_positive("resistance_ohm", reading.resistance_ohm, "ohm");
  const std::vector<electrode::Electrode> rod{{"rod", electrode::conductors_of(reading.rod)}};
  std::vector<earth::LayeredSoil> soils = unit_soils(reading.rod.length_m);
  for_each_index(soils.size(), [&](std::size_t i) {
    // Resistance is proportional to resistivity, so one solution finds the scale.
    const double unscaled_ohm = electrode::solve_field(soils[i], rod).resistance_ohm(0, 0);
    soils[i] = scaled_soil(soils[i], reading.resistance_ohm / unscaled_ohm);
  });
  const double spread_ratio = end_ratio_of(reading.relative_error_ratio);
  AllowedSoils allowed;
  allowed.basis = "uniform soil and two layers, the lower 0.01 to 100 times as resistive as the upper, that "
                  "give the rod's "
                  "reading with its error; the middle is the uniform one";
  allowed.soils.push_back(soils.front());
  for (const earth::LayeredSoil& soil : soils) {
    allowed.soils.push_back(scaled_soil(soil, 1 / spread_ratio));
    allowed.soils.push_back(scaled_soil(soil, spread_ratio));
  }
  return allowed;
}

}  // namespace ohmroot::study::detail
