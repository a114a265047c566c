// SPDX-License-Identifier: MIT
// How fast soil is interpreted: fits in one thread, the posterior on all cores. Read the ratios within one run.
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/quick_rod.hpp>
#include <ohmroot/sounding/detail/fits.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <benchmark/benchmark.h>
#include <cmath>

namespace {

using namespace ohmroot;
using namespace ohmroot::sounding;

/// Twelve Wenner readings over three layers, each off by up to three per cent, 5 % stated.
std::vector<FourPoleReading> twelve_readings() {
  const earth::LayeredSoil truth({{100.0, 2.0}, {20.0, 5.0}, {400.0, 0.0}});
  std::vector<FourPoleReading> readings;
  double spacing_m = 0.5;
  for (int i = 0; i < 12; ++i, spacing_m *= 1.5) {
    FourPoleReading reading = wenner_reading(spacing_m, 1.0);
    reading.resistance_ohm = modelled_resistance_ohm(truth, reading) * (1.0 + 0.015 * ((i * 7) % 5 - 2));
    readings.push_back(reading);
  }
  return readings;
}

void fit_three_layers(benchmark::State& state) {
  detail::FitData data;
  for (const FourPoleReading& reading : twelve_readings())
    data.readings.push_back({reading, std::log(apparent_resistivity_ohm_m(reading)), reading.relative_error_ratio, 0});
  const Eigen::VectorXd two = detail::fit_layers(data, 2, {}, {}).found.best.at;
  std::uint64_t seed = 0;
  for (auto _ : state) {
    InterpretationOptions options;
    options.seed = ++seed;
    benchmark::DoNotOptimize(detail::fit_layers(data, 3, options, two).fit.chi_square_ratio);
  }
}
BENCHMARK(fit_three_layers)
    ->Unit(benchmark::kMillisecond)
    ->Name("sounding: fit of 3 layers, 12 readings, 12 starts and 4 by splitting");

void interpret_all(benchmark::State& state) {
  const auto readings = twelve_readings();
  for (auto _ : state)
    benchmark::DoNotOptimize(interpret(readings).chosen_layer_count);
}
BENCHMARK(interpret_all)
    ->Unit(benchmark::kMillisecond)
    ->Name("sounding: all numbers of layers with intervals by profile, 12 readings");

void posterior(benchmark::State& state) {
  const auto readings = twelve_readings();
  PosteriorOptions options;
  options.greatest_layer_count = static_cast<int>(state.range(0));
  double effective = 0.0;
  for (auto _ : state)
    effective = sample_posterior(readings, options).effective_sample_count;
  state.counters["effective_samples"] = effective;
  state.counters["effective_per_second"] =
      benchmark::Counter(effective, benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(posterior)
    ->Arg(3)
    ->Arg(5)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(3)
    ->UseRealTime()
    ->Name("sounding: posterior of 12 readings, up to so many layers");

/// A rod 2.4 m x 16 mm in 400 soils of the posterior, on all cores.
void resistances(benchmark::State& state) {
  const std::vector<earth::LayeredSoil> soils = sample_posterior(twelve_readings()).soils;
  constexpr electrode::Rod rod{2.4, 0.016};
  const std::vector<electrode::Electrode> metal{{"rod", electrode::conductors_of(rod)}};
  const bool is_full = state.range(0) == 1;
  std::vector<double> ohm(soils.size());
  for (auto _ : state)
    for_each_index(soils.size(), [&](std::size_t i) {
      ohm[i] = is_full ? electrode::solve_field(soils[i], metal).resistance_ohm(0, 0)
                       : electrode::QuickRods(soils[i], rod.length_m).resistance_ohm(rod);
    });
  benchmark::DoNotOptimize(ohm.data());
}
BENCHMARK(resistances)
    ->Arg(1)
    ->Arg(0)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->Name("sounding: resistance of a rod in 400 soils drawn, 1 by the field solution, 0 by a few elements");

}  // namespace

BENCHMARK_MAIN();
