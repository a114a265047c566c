// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/open_pen.hpp>

#include <cmath>
#include <random>
#include <stdexcept>
#include <string_view>
#include <vector>

namespace ohmroot::supply {

inline Load load_of(double greatest_current_a) {
  Load load;
  load.greatest_current_a = greatest_current_a;
  return load;
}

inline const Requirement& named(const std::vector<Requirement>& all, std::string_view name) {
  for (const Requirement& requirement : all) {
    if (requirement.name == name) return requirement;
  }
  throw std::runtime_error("no requirement has this name");
}

/// Random values for the property tests; the seed is fixed, so a failure comes back.
class Draw {
public:
  explicit Draw(unsigned seed) : engine_(seed) {}
  double between(double least, double greatest) {
    return std::uniform_real_distribution<double>(least, greatest)(engine_);
  }
  double log_between(double least, double greatest) {
    return std::exp(between(std::log(least), std::log(greatest)));
  }
  int integer(int least, int greatest) {
    return std::uniform_int_distribution<int>(least, greatest)(engine_);
  }
  bool chance(double probability) { return between(0.0, 1.0) < probability; }

private:
  std::mt19937_64 engine_;
};

/// Lagging loads of any model, on one phase or on three.
inline std::vector<DefiniteLoad> lagging_loads(Draw& draw, int phase_count) {
  std::vector<DefiniteLoad> loads;
  const int count = draw.integer(1, 5);
  for (int k = 0; k < count; ++k) {
    DefiniteLoad load;
    load.phase = draw.integer(1, phase_count);
    load.current_a = draw.log_between(0.1, 100.0);
    if (draw.chance(0.6)) load.power_factor_ratio = draw.between(0.5, 1.0);
    load.model = static_cast<LoadModel>(draw.integer(0, 2));
    if (draw.chance(0.3)) load.current_ceiling_a = load.current_a * draw.between(1.0, 1.5);
    loads.push_back(load);
  }
  return loads;
}

}  // namespace ohmroot::supply
