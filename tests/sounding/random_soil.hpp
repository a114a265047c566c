// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

namespace test {

/// Portable deviates: the distributions of the standard library differ between its makers.
class Random {
public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  double uniform() { return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1p-53; }
  double uniform(double least, double greatest) { return least + (greatest - least) * uniform(); }
  double log_uniform(double least, double greatest) { return least * std::pow(greatest / least, uniform()); }
  double normal() {
    return std::sqrt(-2.0 * std::log(uniform())) * std::cos(2.0 * std::numbers::pi * uniform());
  }
  std::size_t below(std::size_t count) {
    return static_cast<std::size_t>(uniform() * static_cast<double>(count));
  }

private:
  std::mt19937_64 engine_;
};

/// Layers of 10 to 2000 ohm m, 0.3 to 5 m thick.
inline ohmroot::earth::LayeredSoil random_soil(Random& random, std::size_t layer_count) {
  std::vector<ohmroot::earth::Layer> layers;
  for (std::size_t i = 0; i < layer_count; ++i) {
    const double resistivity_ohm_m = random.log_uniform(10.0, 2000.0);
    layers.push_back({resistivity_ohm_m, random.log_uniform(0.3, 5.0)});
  }
  return ohmroot::earth::LayeredSoil(layers);
}

}  // namespace test
