// SPDX-License-Identifier: MIT
// How fast the kernel and the field solution are, in one thread. Read the ratios within one run: "n" is the
// number of unknowns, "estimate_percent" the own estimate of the engine. A row named level/.../solve is one
// level of elements without the second level of the estimate.
#include "earth_kernel/independent.hpp"
#include "field/cases.hpp"

#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/electrode/body_coupling.hpp>
#include <ohmroot/electrode/detail/assembly.hpp>
#include <ohmroot/electrode/detail/cholesky.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <Eigen/Dense>

#include <benchmark/benchmark.h>
#include <random>

namespace {

using namespace ohmroot::earth;
using namespace ohmroot::electrode;
using Bars = std::vector<Conductor>;

// ---- Kernel ----

void kernel_sounding(benchmark::State& state) {
  std::vector<double> distances;
  for (int i = 0; i < 20; ++i)
    for (const double times : {1.0, 2.0})
      distances.push_back(times * 0.5 * std::pow(1.35, i));
  std::vector<double> potentials(distances.size());
  double change = 0.0;
  for (auto _ : state) {
    change += 1e-6;
    const LayeredSoil soil({{100.0 + change, 0.7}, {300.0, 2.0}, {40.0, 5.0}, {600.0, 0.0}});
    SurfaceKernel(soil).potentials_ohm(distances, potentials);
    benchmark::DoNotOptimize(potentials.data());
  }
}
BENCHMARK(kernel_sounding)
    ->Unit(benchmark::kMicrosecond)
    ->Name("kernel: sounding, 20 spacings, 4 layers, new model");

void kernel_fit(benchmark::State& state) {
  for (auto _ : state)
    benchmark::DoNotOptimize(
        ImageKernel(LayeredSoil({{100.0, 0.7}, {300.0, 2.0}, {40.0, 0.0}}), 2.4).shifts_m().size());
}
BENCHMARK(kernel_fit)->Unit(benchmark::kMicrosecond)->Name("kernel: fit for 3 layers, 6 pairs of layers");

void kernel_accurate(benchmark::State& state) {
  const LayeredSoil soil({{100.0, 0.7}, {300.0, 2.0}, {40.0, 0.0}});
  for (auto _ : state)
    benchmark::DoNotOptimize(point_potential_ohm(soil, {1.5, 0.3, 2.0}));
}
BENCHMARK(kernel_accurate)->Unit(benchmark::kMicrosecond)->Name("kernel: one value, accurate route");

void kernel_fast(benchmark::State& state) {
  const ImageKernel kernel(LayeredSoil({{100.0, 0.7}, {300.0, 2.0}, {40.0, 0.0}}), 2.4);
  for (auto _ : state)
    benchmark::DoNotOptimize(kernel.potential_ohm({1.5, 0.3, 2.0}));
}
BENCHMARK(kernel_fast)->Unit(benchmark::kMicrosecond)->Name("kernel: one value, fast route");

void kernel_naive(benchmark::State& state) {
  const LayeredSoil soil({{100.0, 0.7}, {300.0, 2.0}, {40.0, 0.0}});
  for (auto _ : state)
    benchmark::DoNotOptimize(independent::hankel_integral_ohm(soil, {1.5, 0.3, 2.0}, 0.3));
}
BENCHMARK(kernel_naive)->Unit(benchmark::kMicrosecond)->Name("kernel: one value, naive adaptive quadrature");

// ---- Field solution ----

const LayeredSoil uniform_soil(100.0);
const LayeredSoil two_layers({{400.0, 3.0}, {80.0, 0.0}});
const LayeredSoil three_layers({{300.0, 0.7}, {100.0, 1.6}, {1000.0, 0.0}});

Bars one_rod() {
  return field_cases::rods({{0, 0}});
}

Bars ten_rods() {
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> shift(-0.8, 0.8);
  std::vector<RodPosition> positions;
  for (int i = 0; i < 10; ++i)
    positions.push_back({3.0 * i + shift(random), shift(random)});
  return field_cases::rods(positions);
}

Bars mesh() {
  return mesh_of({{60.0, 10}, {60.0, 10}, 0.5, 0.005});
}

/// No two places of it are alike, so that every element is an unknown of its own.
Bars mesh_and_rod() {
  Bars bars = mesh();
  bars.push_back(field_cases::rod(18.0, 6.0, 0.5, 2.4, 0.008));
  return bars;
}

void field(benchmark::State& state, const LayeredSoil& soil, const Bars& bars, double tolerance) {
  double estimate = 0.0;
  int unknowns = 0;
  for (auto _ : state) {
    const FieldSolution solution = solve_field(soil, {{"", bars, Crossings::joined}}, {tolerance});
    estimate = solution.estimate_ratio();
    unknowns = solution.unknown_count();
    benchmark::DoNotOptimize(solution.resistance_ohm(0, 0));
  }
  state.counters["n"] = unknowns;
  state.counters["estimate_percent"] = 100.0 * estimate;
}

/// One level: kernel, elements, matrix, factor. If the resistance is known its true error is a counter.
void level(benchmark::State& state, const LayeredSoil& soil, const Bars& bars, int halvings,
           double true_ohm = 0.0) {
  Eigen::Index unknowns = 0;
  double resistance_ohm = 0.0;
  for (auto _ : state) {
    const std::vector<Electrode> electrodes{{"", bars, Crossings::joined}};
    require_valid(electrodes);
    const ImageKernel kernel(soil, 5.0);
    auto pieces = detail::make_pieces(electrodes, kernel);
    for (auto& piece : pieces)
      for (int k = 0; k < halvings; ++k) {
        std::vector<double> breaks{0.0};
        for (std::size_t i = 0; i < piece.element_count(); ++i) {
          breaks.push_back(piece.split_m(i));
          breaks.push_back(piece.breaks_m[i + 1]);
        }
        piece.breaks_m = breaks;
      }
    Eigen::MatrixXd matrix = detail::influence_matrix(kernel, pieces, detail::no_symmetry(pieces.size()));
    Eigen::MatrixXd right = Eigen::VectorXd::Ones(matrix.rows());
    unknowns = matrix.rows();
    if (!detail::solve_positive_definite(matrix, right)) state.SkipWithError("not positive definite");
    resistance_ohm = 1.0 / right.sum();
    benchmark::DoNotOptimize(resistance_ohm);
  }
  state.counters["n"] = static_cast<double>(unknowns);
  if (true_ohm > 0.0) state.counters["error_percent"] = 100.0 * (resistance_ohm / true_ohm - 1.0);
}

// The mesh's own resistance: solutions of 5,280 and 6,160 elements, extrapolated; good to 1e-5.
constexpr double mesh_uniform_ohm = 0.766565;
constexpr double mesh_two_layers_ohm = 1.06262;

#define FIELD(name, soil, bars, tolerance)                                                                   \
  BENCHMARK_CAPTURE(field, name, soil, bars, tolerance)->Unit(benchmark::kMillisecond)
#define LEVEL(name, soil, bars, ...)                                                                         \
  BENCHMARK_CAPTURE(level, name, soil, bars, __VA_ARGS__)->Unit(benchmark::kMillisecond)
LEVEL(one rod uniform / solve, uniform_soil, one_rod(), 1);
FIELD(one rod uniform 0.05 %, uniform_soil, one_rod(), 5e-4);
LEVEL(one rod 3 layers / solve, three_layers, one_rod(), 1);
FIELD(one rod 3 layers 0.05 %, three_layers, one_rod(), 5e-4);
LEVEL(ten rods uniform / solve, uniform_soil, ten_rods(), 1);
FIELD(ten rods uniform 0.05 %, uniform_soil, ten_rods(), 5e-4);
LEVEL(ten rods 3 layers / solve, three_layers, ten_rods(), 1);
FIELD(ten rods 3 layers 0.05 %, three_layers, ten_rods(), 5e-4);
LEVEL(mesh 60 m uniform / n 880, uniform_soil, mesh(), 1, mesh_uniform_ohm);
LEVEL(mesh 60 m uniform / n 1760, uniform_soil, mesh(), 2, mesh_uniform_ohm);
LEVEL(mesh 60 m 2 layers / n 1760, two_layers, mesh(), 2, mesh_two_layers_ohm);
LEVEL(mesh 60 m 2 layers / n 3520, two_layers, mesh(), 3, mesh_two_layers_ohm);
LEVEL(mesh 60 m uniform / n 1500, uniform_soil, mesh_of({{60.0, 9}, {51.0, 10}, 0.5, 0.005}), 2);
LEVEL(mesh 60 m uniform / n 4000, uniform_soil, mesh_of({{60.0, 15}, {60.0, 16}, 0.5, 0.005}), 2);
FIELD(mesh 60 m uniform 0.1 %, uniform_soil, mesh(), 1e-3);
FIELD(mesh 60 m uniform 0.05 %, uniform_soil, mesh(), 5e-4);
FIELD(mesh 60 m uniform 0.02 %, uniform_soil, mesh(), 2e-4);
FIELD(mesh 60 m uniform 0.01 %, uniform_soil, mesh(), 1e-4);
FIELD(mesh 60 m with a rod anywhere uniform 0.05 %, uniform_soil, mesh_and_rod(), 5e-4);
FIELD(mesh 60 m with a rod anywhere uniform 0.01 %, uniform_soil, mesh_and_rod(), 1e-4);
FIELD(mesh 60 m 2 layers 0.05 %, two_layers, mesh(), 5e-4);
FIELD(mesh 60 m 2 layers 0.02 %, two_layers, mesh(), 2e-4);
FIELD(mesh 60 m 2 layers 0.01 %, two_layers, mesh(), 1e-4);

// ---- Against the dense factor alone ----

Eigen::MatrixXd definite(Eigen::Index size) {
  Eigen::MatrixXd matrix(size, size);
  for (Eigen::Index k = 0; k < size; ++k)
    for (Eigen::Index i = 0; i < size; ++i)
      matrix(i, k) = 1.0 / (1.0 + std::abs(static_cast<double>(i - k))) + (i == k ? 10.0 : 0.0);
  return matrix;
}

void cholesky(benchmark::State& state) {
  const Eigen::MatrixXd matrix = definite(state.range(0));
  for (auto _ : state) {
    Eigen::MatrixXd factor = matrix;
    Eigen::MatrixXd right = Eigen::VectorXd::Ones(matrix.rows());
    benchmark::DoNotOptimize(detail::solve_positive_definite(factor, right));
  }
}
BENCHMARK(cholesky)->Arg(880)->Arg(1500)->Arg(4000)->Unit(benchmark::kMillisecond)->Name("Cholesky, ours");

void cholesky_plain(benchmark::State& state) {
  const Eigen::MatrixXd matrix = definite(state.range(0));
  for (auto _ : state) {
    const Eigen::LLT<Eigen::MatrixXd> factored(matrix);
    benchmark::DoNotOptimize(factored.matrixLLT().data());
  }
}
BENCHMARK(cholesky_plain)
    ->Arg(880)
    ->Arg(1500)
    ->Arg(4000)
    ->Unit(benchmark::kMillisecond)
    ->Name("Cholesky, plain x86-64");

#ifdef OHMROOT_HAS_LAPACK
extern "C" void dpotrf_(const char* uplo, const int* n, double* a, const int* lda, int* info);

void cholesky_lapack(benchmark::State& state) {
  const Eigen::MatrixXd matrix = definite(state.range(0));
  for (auto _ : state) {
    Eigen::MatrixXd factor = matrix;
    const int size = static_cast<int>(factor.rows());
    int info = 0;
    dpotrf_("L", &size, factor.data(), &size, &info);
    benchmark::DoNotOptimize(info);
  }
}
BENCHMARK(cholesky_lapack)
    ->Arg(880)
    ->Arg(1500)
    ->Arg(4000)
    ->Unit(benchmark::kMillisecond)
    ->Name("Cholesky, OpenBLAS dpotrf");
#endif

// ---- Many arrangements ----

void arrangements(benchmark::State& state, const LayeredSoil& soil) {
  const BodyCoupling coupling(soil, Rod{2.4, 0.016}, {0.5, 200.0});
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> shift(-0.8, 0.8);
  std::vector<std::vector<RodPosition>> all(1000);
  for (auto& positions : all)
    for (int i = 0; i < 10; ++i)
      positions.push_back({3.0 * (i % 5) + shift(random), 3.0 * (i / 5) + shift(random)});
  std::size_t next = 0;
  for (auto _ : state)
    benchmark::DoNotOptimize(coupling.resistance_ohm(all[next++ % all.size()]));
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK_CAPTURE(arrangements, 10 rods uniform, uniform_soil)->Unit(benchmark::kNanosecond);
BENCHMARK_CAPTURE(arrangements, 10 rods 3 layers, three_layers)->Unit(benchmark::kNanosecond);

}  // namespace
