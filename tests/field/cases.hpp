// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/conductors.hpp>

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

/// Bars whose resistance is known from elsewhere. All values were computed for this project by programs that
/// share no code with the library; none is published.
namespace field_cases {

using namespace ohmroot::electrode;
using ohmroot::earth::LayeredSoil;

struct Case {
  std::string id;
  std::string how;
  LayeredSoil soil;
  std::vector<Conductor> conductors;
  double resistance_ohm;
  double own_error_ratio;  ///< of the value itself
};

inline Conductor rod(double x, double y, double top, double length, double radius) {
  return {{x, y, top}, {x, y, top + length}, radius};
}

inline std::vector<Conductor> rods(const std::vector<RodPosition>& positions, double length = 2.4,
                                   double radius = 0.008) {
  std::vector<Conductor> result;
  for (const auto& [x, y] : positions)
    result.push_back(rod(x, y, 0.0, length, radius));
  return result;
}

inline std::vector<Conductor> star(int arms, double length, double radius, double depth) {
  std::vector<Conductor> result;
  for (int i = 0; i < arms; ++i) {
    const double angle = arms == 2 ? i * std::numbers::pi / 2.0 : 2.0 * std::numbers::pi * i / arms;
    result.push_back(
        {{0.0, 0.0, depth}, {length * std::cos(angle), length * std::sin(angle), depth}, radius});
  }
  return result;
}

inline std::vector<Conductor> mesh_with_rods() {
  auto result = mesh_of({{70.0, 10}, {70.0, 10}, 0.5, 0.005});
  for (int i = 0; i < 20; ++i) {  // every second node of the edge
    const int side = i / 5;
    const double along = 14.0 * (i % 5);
    const double x = side == 0 ? along : side == 1 ? 70.0 : side == 2 ? 70.0 - along : 0.0;
    const double y = side == 0 ? 0.0 : side == 1 ? along : side == 2 ? 70.0 : 70.0 - along;
    result.push_back(rod(x, y, 0.5, 7.5, 0.005));
  }
  return result;
}

inline std::vector<Case> all() {
  const LayeredSoil uniform(100.0);
  const std::string axisymmetric =
      "axisymmetric boundary elements with the exact kernel, solid flat-ended bar";
  const std::string finite = "axisymmetric finite elements, gmsh and getdp, reference/fem/results.txt";
  const std::string tube = "thin-tube Galerkin with end correction, extrapolated";
  const std::string coarse = "equal potentials, computed with fewer digits";
  std::vector<Case> cases{
      {"ring-4m-8mm-0.6m", axisymmetric, uniform, ring_of({4.0, 0.008, 0.6}, {0.0, 0.0}), 13.741656, 1e-7},
      {"rod-2.4x16", axisymmetric, uniform, rods({{0, 0}}), 39.99116, 1e-7},
      {"rod-1.2x9-top-0.3", axisymmetric, uniform, {rod(0, 0, 0.3, 1.2, 0.0045)}, 73.918711, 1e-7},
      {"rod-100-over-1000", axisymmetric, LayeredSoil({{100, 1.2}, {1000, 0}}), rods({{0, 0}}), 92.210361,
       1e-6},
      {"rod-1000-over-100", axisymmetric, LayeredSoil({{1000, 1.2}, {100, 0}}), rods({{0, 0}}), 65.42871,
       1e-6},
      {"rod-100-over-1000-fem", finite, LayeredSoil({{100, 1.2}, {1000, 0}}), rods({{0, 0}}), 92.2103019,
       2e-6},
      {"rod-1000-over-100-fem", finite, LayeredSoil({{1000, 1.2}, {100, 0}}), rods({{0, 0}}), 65.42869353,
       2e-6},
      {"ring-100-over-1000-fem", finite, LayeredSoil({{100, 1.2}, {1000, 0}}),
       ring_of({4.0, 0.008, 0.6}, {0.0, 0.0}), 32.67369334, 2e-5},
      {"rod-1.0x100-stout-fem", finite, uniform, rods({{0, 0}}, 1.0, 0.05), 52.41709344, 1e-5},
      {"three-rods-3m", tube, uniform, rods({{-3, 0}, {0, 0}, {3, 0}}), 15.909532, 1e-5},
      {"bar-10m-0.6m", tube, uniform, {{{0, 0, 0.6}, {10, 0, 0.6}, 0.00625}}, 14.188546, 2e-5},
      {"rod-top-0.3", coarse, uniform, {rod(0, 0, 0.3, 2.4, 0.008)}, 38.329, 4e-3},
      {"rod-top-1.0", coarse, uniform, {rod(0, 0, 1.0, 2.4, 0.008)}, 37.164, 4e-3},
      {"two-rods-1.2m", coarse, uniform, rods({{0, 0}, {1.2, 0}}), 24.266, 4e-3},
      {"two-rods-9.6m", coarse, uniform, rods({{0, 0}, {9.6, 0}}), 20.807, 4e-3},
      {"triangle-2.4m", coarse, uniform, conductors_of(RodTriangle{{2.4, 0.016}, 2.4}), 16.944, 4e-3},
      {"line-10-2.4m", coarse, uniform, conductors_of(RodLine{{2.4, 0.016}, 10, 2.4}), 6.2611, 4e-3},
      {"line-10-4.8m", coarse, uniform, conductors_of(RodLine{{2.4, 0.016}, 10, 4.8}), 5.2253, 4e-3},
      {"square-4-2.4m", coarse, uniform, conductors_of(RodSquare{{2.4, 0.016}, 4, 2.4}), 6.0538, 4e-3},
      {"wire-20m", coarse, uniform, {{{0, 0, 0.5}, {20, 0, 0.5}, 0.004}}, 8.6467, 3e-3},
      {"strip-20m-25mm", coarse, uniform, conductors_of(Tape{20.0, 0.025, 0.6}), 8.1506, 3e-3},
      {"ring-10m", coarse, uniform, ring_of({10.0, 0.008, 0.5}, {0.0, 0.0}), 6.5321, 2e-3},
      {"ring-5m", coarse, uniform, ring_of({5.0, 0.008, 0.5}, {0.0, 0.0}), 11.646, 2e-3},
      {"mesh-10m-1", coarse, uniform, mesh_of({{10, 1}, {10, 1}, 0.5, 0.005}), 5.4486, 4e-3},
      {"mesh-10m-2", coarse, uniform, mesh_of({{10, 2}, {10, 2}, 0.5, 0.005}), 4.8362, 4e-3},
      {"mesh-10m-4", coarse, uniform, mesh_of({{10, 4}, {10, 4}, 0.5, 0.005}), 4.4166, 4e-3},
      {"mesh-70m-10", coarse, LayeredSoil(400.0), mesh_of({{70, 10}, {70, 10}, 0.5, 0.005}), 2.648, 4e-3},
      {"mesh-70m-10-20-rods", coarse, LayeredSoil(400.0), mesh_with_rods(), 2.502, 5e-3},
  };
  struct Arms {
    int count;
    double five_m;
    double ten_m;
  };
  for (const Arms& arms : {Arms{2, 15.661, 8.9114},
                           {3, 11.606, 6.5427},
                           {4, 9.8531, 5.5053},
                           {6, 8.1124, 4.4747},
                           {8, 7.241, 3.9591}}) {
    const std::string name = "star-" + std::to_string(arms.count);
    cases.push_back({name + "-5m", coarse, uniform, star(arms.count, 5.0, 0.004, 0.5), arms.five_m, 4e-3});
    cases.push_back({name + "-10m", coarse, uniform, star(arms.count, 10.0, 0.004, 0.5), arms.ten_m, 4e-3});
  }
  struct TwoLayers {
    double length, upper, lower, thickness, resistance;
  };
  for (const TwoLayers& t : {TwoLayers{2.4, 100, 20, 1.0, 11.172},
                             {2.4, 20, 100, 1.0, 17.343},
                             {2.4, 100, 500, 1.0, 86.717},
                             {2.4, 500, 100, 1.0, 55.858},
                             {2.4, 300, 50, 1.5, 36.58},
                             {4.8, 100, 20, 3.0, 8.0143},
                             {4.8, 100, 500, 3.0, 37.442},
                             {2.4, 100, 20, 3.0, 36.659},
                             {2.4, 100, 500, 3.0, 46.419}})
    cases.push_back({"rod-two-layers-" + std::to_string(cases.size()), coarse,
                     LayeredSoil({{t.upper, t.thickness}, {t.lower, 0.0}}), rods({{0, 0}}, t.length),
                     t.resistance, 5e-3});
  return cases;
}

inline double uniform(std::mt19937_64& random, double least, double greatest) {
  return std::uniform_real_distribution<double>(least, greatest)(random);
}

inline LayeredSoil random_soil(std::mt19937_64& random) {
  const int count = std::uniform_int_distribution<int>(1, 4)(random);
  std::vector<ohmroot::earth::Layer> layers;
  for (int i = 0; i < count; ++i)
    layers.push_back({std::pow(10.0, uniform(random, 1.0, 3.0)), uniform(random, 0.4, 3.0)});
  return LayeredSoil(layers);
}

/// Vertical, lying and slanting bars in cells of their own, so that none touch.
inline std::vector<Conductor> random_bars(std::mt19937_64& random) {
  std::vector<Conductor> bars;
  const int count = std::uniform_int_distribution<int>(1, 4)(random);
  for (int i = 0; i < count; ++i) {
    const double x = 4.0 * i + uniform(random, 0.0, 1.0);
    const double y = uniform(random, -3.0, 3.0);
    const double radius = uniform(random, 0.003, 0.012);
    const double depth = uniform(random, 0.3, 1.0);
    switch (std::uniform_int_distribution<int>(0, 3)(random)) {
    case 0:
      bars.push_back(rod(x, y, 0.0, uniform(random, 1.0, 4.0), radius));
      break;
    case 1:
      bars.push_back(rod(x, y, depth, uniform(random, 1.0, 4.0), radius));
      break;
    case 2:
      bars.push_back({{x, y, depth}, {x + 2.0, y + uniform(random, -2.0, 2.0), depth}, radius});
      break;
    default:
      bars.push_back({{x, y, depth}, {x + 1.5, y + 1.0, depth + uniform(random, 0.5, 2.0)}, radius});
    }
  }
  return bars;
}

}  // namespace field_cases
