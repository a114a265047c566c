// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/floor.hpp>

#include <cmath>
#include <random>
#include <vector>

/// Random soils and bars; the draws are the same everywhere, for no distribution of the library is used.
namespace arrangements {

using namespace ohmroot::electrode;

inline double uniform(std::mt19937_64& random, double least, double greatest) {
  return least + (greatest - least) * static_cast<double>(random() >> 11) * 0x1p-53;
}

inline int count(std::mt19937_64& random, int least, int greatest) {
  return least + static_cast<int>(random() % static_cast<unsigned>(greatest - least + 1));
}

inline ohmroot::earth::LayeredSoil random_soil(std::mt19937_64& random) {
  std::vector<ohmroot::earth::Layer> layers;
  for (int i = count(random, 1, 3); i > 0; --i)
    layers.push_back({std::pow(10.0, uniform(random, 1.3, 2.9)), uniform(random, 0.4, 3.0)});
  return ohmroot::earth::LayeredSoil(layers);
}

/// Rods and lying bars within a block centred at the origin, each in a strip of its own so that none touch.
inline std::vector<Conductor> random_bars_inside(std::mt19937_64& random, const ReachableVolume& volume) {
  constexpr double clear_m = 0.05;
  const double half_length_m = volume.length_m / 2.0 - clear_m;
  const double half_width_m = volume.width_m / 2.0 - clear_m;
  const int strips = count(random, 1, 4);
  std::vector<Conductor> bars;
  for (int i = 0; i < strips; ++i) {
    const double strip_m = 2.0 * half_length_m / strips;
    const double x = -half_length_m + strip_m * (i + uniform(random, 0.3, 0.7));
    const double radius = uniform(random, 0.003, 0.012);
    if (random() % 2 == 0) {
      const double y = uniform(random, -half_width_m, half_width_m);
      const double length = uniform(random, 0.5, volume.depth_m - clear_m);
      bars.push_back({{x, y, 0.0}, {x, y, length}, radius});
    } else {
      const double depth = uniform(random, 0.2, volume.depth_m - clear_m);
      bars.push_back({{x, uniform(random, -half_width_m, -0.3), depth},
                      {x, uniform(random, 0.3, half_width_m), depth},
                      radius});
    }
  }
  return bars;
}

}  // namespace arrangements
