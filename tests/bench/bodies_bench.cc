// SPDX-License-Identifier: MIT
// How fast maps, plates and blocks are, in one thread. Read the ratios within one run.
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <benchmark/benchmark.h>

namespace {

using namespace ohmroot::earth;
using namespace ohmroot::electrode;

const LayeredSoil uniform_soil(100.0);
const LayeredSoil three_layers({{300.0, 0.7}, {100.0, 1.6}, {1000.0, 0.0}});

/// 200 x 200 points over a mesh of 440 elements.
void map(benchmark::State& state, const LayeredSoil& soil) {
  const FieldSolution field =
      solve_field(soil, {{"", mesh_of({{30.0, 7}, {30.0, 7}, 0.5, 0.005}), Crossings::joined}}, {0.05});
  const FieldState energised = state_of(field, {0});
  for (auto _ : state)
    benchmark::DoNotOptimize(
        surface_map(field, energised, {-10.0, 40.0, -10.0, 40.0, 200, 200}).potentials_v.data());
  state.counters["elements"] = field.unknown_count();
}
BENCHMARK_CAPTURE(map, 200 x 200 points uniform, uniform_soil)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(map, 200 x 200 points 3 layers, three_layers)->Unit(benchmark::kMillisecond);

/// The same values point by point, without the tables of the quick route.
void map_by_points(benchmark::State& state, const LayeredSoil& soil) {
  const FieldSolution field =
      solve_field(soil, {{"", mesh_of({{30.0, 7}, {30.0, 7}, 0.5, 0.005}), Crossings::joined}}, {0.05});
  const FieldState energised = state_of(field, {0});
  for (auto _ : state) {
    for (int i = 0; i < 400; ++i) {  // a hundredth of the map
      const Place place{-10.0 + 0.125 * i, 17.0, 0.0};
      benchmark::DoNotOptimize(field.potentials_v(energised, {&place, 1}).data());
    }
  }
}
BENCHMARK_CAPTURE(map_by_points, 400 points uniform, uniform_soil)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(map_by_points, 400 points 3 layers, three_layers)->Unit(benchmark::kMillisecond);

void plate(benchmark::State& state, const LayeredSoil& soil, const Plate& shape) {
  double error_ratio = 0.0;
  for (auto _ : state)
    error_ratio = plate_resistance(soil, shape).error_ratio;
  state.counters["estimate_percent"] = 100.0 * error_ratio;
}
constexpr RectangularPlate upright{0.9, 0.9, 1.5, PlateAttitude::vertical};
constexpr RectangularPlate lying{0.9, 0.6, 1.0, PlateAttitude::horizontal};
BENCHMARK_CAPTURE(plate, upright uniform, uniform_soil, upright)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(plate, upright 3 layers, three_layers, upright)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(plate, lying 3 layers, three_layers, lying)->Unit(benchmark::kMillisecond);

void block(benchmark::State& state, const LayeredSoil& soil, int cell_count) {
  BlockResistance found{};
  for (auto _ : state)
    found = block_resistance(soil, {20.0, 10.0, 4.0}, {cell_count});
  state.counters["width_percent"] = 100.0 * (found.upper_bound_ohm / found.lower_bound_ohm - 1.0);
}
BENCHMARK_CAPTURE(block, 3 cells uniform, uniform_soil, 3)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(block, 3 cells 3 layers, three_layers, 3)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(block, 6 cells 3 layers, three_layers, 6)->Unit(benchmark::kMillisecond);

void test_curve(benchmark::State& state) {
  const Electrode rod{"rod", {{{0.0, 0.0, 0.0}, {0.0, 0.0, 2.4}, 0.008}}};
  for (auto _ : state)
    benchmark::DoNotOptimize(
        FallOfPotential(three_layers, rod, {}, {{0.0, 0.0}, 0.0, 40.0}).correct_distances_m().data());
}
BENCHMARK(test_curve)->Unit(benchmark::kMillisecond)->Name("fall of potential, correct point, 3 layers");

}  // namespace
