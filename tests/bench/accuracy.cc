// SPDX-License-Identifier: MIT
// Writes reference/ACCURACY.md on standard output: what the kernel and the field solution are worth,
// measured.
#include "earth_kernel/independent.hpp"
#include "field/cases.hpp"

#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/earth/surface_potential.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <random>
#include <string>

namespace {

using namespace ohmroot::earth;
using namespace ohmroot::electrode;

/// Greatest error so far and where it was found.
struct Worst {
  double error = 0.0;
  std::string where = "-";
  void take(double value, double truth, const std::string& place) {
    const double found = std::abs(value / truth - 1.0);
    if (found > error) {
      error = found;
      where = place;
    }
  }
};

void row(const std::string& what, const Worst& worst) {
  fmt::print("| {} | {:.1e} | {} |\n", what, worst.error, worst.where);
}

double draw(std::mt19937_64& random, double least, double greatest) {
  return least * std::pow(greatest / least, std::uniform_real_distribution<double>(0.0, 1.0)(random));
}

std::string words(const LayeredSoil& soil, const PointPair& pair) {
  std::string text = fmt::format("r {:.3g} m, z {:.3g} and {:.3g} m; ", pair.distance_m, pair.source_depth_m,
                                 pair.receiver_depth_m);
  for (const Layer& layer : soil.layers())
    text += std::isinf(layer.thickness_m)
                ? fmt::format("{:.3g} ohm m", layer.resistivity_ohm_m)
                : fmt::format("{:.3g} ({:.2g} m), ", layer.resistivity_ohm_m, layer.thickness_m);
  return text;
}

void kernel_two_layers() {
  for (const double contrast : {1e-3, 1e-2, 0.1, 10.0, 1e2, 1e3}) {
    const LayeredSoil soil({{1.0, 1.0}, {contrast, 0.0}});
    const ImageKernel kernel(soil, 1.0);
    Worst accurate;
    Worst fast;
    Worst surface;
    for (double r = 1e-3; r <= 1e3; r *= 1.5) {
      for (const double source : {0.0, 0.3, 0.999}) {
        for (const double receiver : {0.0, 0.5, 0.99}) {
          const PointPair pair{r, source, receiver};
          const double truth = independent::image_sum_ohm(soil, pair);
          accurate.take(point_potential_ohm(soil, pair), truth, words(soil, pair));
          fast.take(kernel.potential_ohm(pair), truth, words(soil, pair));
        }
      }
      const PointPair pair{r, 0.0, 0.0};
      surface.take(kernel.potential_ohm(pair), surface_potential_ohm(soil, r), words(soil, pair));
    }
    row(fmt::format("2 layers 1:{:g}, accurate against the image sum, r/h 0.001 to 1000", contrast),
        accurate);
    row(fmt::format("2 layers 1:{:g}, fast ({} images) against the image sum", contrast,
                    kernel.shifts_m().size()),
        fast);
    row(fmt::format("2 layers 1:{:g}, fast, source and receiver at the surface", contrast), surface);
  }
}

void kernel_three_layers() {
  Worst worst;
  std::mt19937_64 random(1);
  for (int i = 0; i < 30; ++i) {
    const LayeredSoil soil(
        {{draw(random, 1, 1e3), 1.0}, {draw(random, 1, 1e3), 2.0}, {draw(random, 1, 1e3), 0.0}});
    const PointPair pair{draw(random, 0.3, 5.0), 0.5, i % 2 == 0 ? 2.0 : 4.0};
    worst.take(point_potential_ohm(soil, pair), independent::hankel_integral_ohm(soil, pair, 0.5),
               words(soil, pair));
  }
  row("3 layers to 1:1000, accurate against adaptive quadrature over continuity equations", worst);
}

void kernel_many_layers() {
  for (const double contrast : {1e2, 1e3}) {
    for (const int count : {3, 5, 10}) {
      std::mt19937_64 random(static_cast<unsigned>(count));
      Worst surface;
      Worst fast;
      for (int i = 0; i < 150; ++i) {
        std::vector<Layer> layers;
        for (int k = 0; k < count; ++k)
          layers.push_back({draw(random, 1.0, contrast), draw(random, 0.1, 10.0)});
        const LayeredSoil soil(layers);
        const ImageKernel kernel(soil, 30.0);
        for (int k = 0; k < 10; ++k) {
          const PointPair pair{draw(random, 1e-3, 1e3), draw(random, 0.01, 30.0), draw(random, 0.01, 30.0)};
          const PointPair above{pair.distance_m, 0.0, 0.0};
          surface.take(point_potential_ohm(soil, above), surface_potential_ohm(soil, pair.distance_m),
                       words(soil, above));
          fast.take(kernel.potential_ohm(pair), point_potential_ohm(soil, pair), words(soil, pair));
        }
      }
      row(fmt::format("{} layers to 1:{:g}, accurate against the surface route", count, contrast), surface);
      row(fmt::format("{} layers to 1:{:g}, fast against accurate, any depths, r 1 mm to 1 km", count,
                      contrast),
          fast);
    }
  }
}

/// Prints one table and says how many of its rows keep true error <= 2 * estimate.
void field(double tolerance_ratio) {
  fmt::print("\n### Field solution at a tolerance of {:g} %\n\n", 100.0 * tolerance_ratio);
  fmt::print("| case | expected ohm | +- | computed ohm | error | estimate | unknowns | time ms | expected "
             "from |\n");
  fmt::print("|---|---|---|---|---|---|---|---|---|\n");
  int honest = 0;
  int count = 0;
  for (const auto& c : field_cases::all()) {
    const auto start = std::chrono::steady_clock::now();
    const FieldSolution solution =
        solve_field(c.soil, {{c.id, c.conductors, Crossings::joined}}, {tolerance_ratio});
    const std::chrono::duration<double, std::milli> time = std::chrono::steady_clock::now() - start;
    const double resistance_ohm = solution.resistance_ohm(0, 0);
    const double error = resistance_ohm / c.resistance_ohm - 1.0;
    ++count;
    if (std::abs(error) <= 2.0 * solution.estimate_ratio() + c.own_error_ratio) ++honest;
    fmt::print("| {} | {:.8g} | {:.0e} | {:.8g} | {:+.4f} % | {:.4f} % | {} | {:.2f} | {} |\n", c.id,
               c.resistance_ohm, c.own_error_ratio, resistance_ohm, 100.0 * error,
               100.0 * solution.estimate_ratio(), solution.unknown_count(), time.count(), c.how);
  }
  fmt::print("\nTrue error at most twice the estimate, and the value's own error: {} of {}.\n", honest,
             count);
}

/// Random bars in random soils against far finer solutions: is the estimate honest where nobody looked before?
void random_arrangements(unsigned seed, int count) {
  fmt::print("\n### Random arrangements, seed {}: the estimate against a solution at 0.001 %\n\n"
             "| tolerance | true error at most twice the estimate | at most the estimate | greatest error "
             "over estimate "
             "| potentials of quarters of elements over the electrode's, least to greatest "
             "|\n|---|---|---|---|---|\n",
             seed);
  for (const double tolerance_ratio : {1e-3, 2e-4}) {
    std::mt19937_64 random(seed);
    int within_two = 0;
    int within_one = 0;
    double greatest = 0.0;
    FieldSolution::Spread widest{1.0, 1.0};
    for (int i = 0; i < count; ++i) {
      const LayeredSoil soil = field_cases::random_soil(random);
      const std::vector<Electrode> metal{{"random", field_cases::random_bars(random)}};
      const FieldSolution fine = solve_field(soil, metal, {1e-5, 2500});
      const FieldSolution solution = solve_field(soil, metal, {tolerance_ratio});
      const double error = std::abs(solution.resistance_ohm(0, 0) / fine.resistance_ohm(0, 0) - 1.0);
      const double ratio = error / solution.estimate_ratio();
      within_two += ratio <= 2.0 ? 1 : 0;
      within_one += ratio <= 1.0 ? 1 : 0;
      greatest = std::max(greatest, ratio);
      const Duty one_ampere{DutyKind::current, 1.0};
      const auto spread = solution.potential_spread(solution.state({&one_ampere, 1}), 0);
      widest.least_ratio = std::min(widest.least_ratio, spread.least_ratio);
      widest.greatest_ratio = std::max(widest.greatest_ratio, spread.greatest_ratio);
    }
    fmt::print("| {:g} % | {} of {} | {} of {} | {:.2f} | {:.3f} to {:.3f} |\n", 100.0 * tolerance_ratio,
               within_two, count, within_one, count, greatest, widest.least_ratio, widest.greatest_ratio);
  }
}

}  // namespace

int main() {
  fmt::print("# Accuracy of the layered-earth kernel and of the field solution\n\n"
             "Written by the program ohmroot_accuracy (tests/bench), but for the last section. Errors are relative to routes that "
             "share no code\n"
             "with the one measured. A fast kernel value is least exact where it is small against its parts: "
             "far away\n"
             "over a base that conducts far better.\n\n## Kernel\n\n"
             "| what | greatest relative error | where |\n|---|---|---|\n");
  kernel_two_layers();
  kernel_three_layers();
  kernel_many_layers();
  fmt::print(
      "\n## Field solution\n\nValues with an own error of 2e-3 to 5e-3 were computed with few elements: "
      "they\n"
      "bound gross errors only. Times of one thread, kernel, all refinements and the estimate included.\n");
  for (const double tolerance : {1e-3, 2e-4, 5e-5})
    field(tolerance);
  random_arrangements(20261126, 200);
}
