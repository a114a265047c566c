// SPDX-License-Identifier: MIT
// Is a 90 % interval one? Soundings over soils that are known, from a population that is not the prior.
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <numbers>
#include <random>

namespace {

using namespace ohmroot;
using sounding::FourPoleReading;

constexpr double endless_m = std::numeric_limits<double>::infinity();

/// Steps up or down from layer to layer: the five classes of a sounding curve.
struct SoilClass {
  const char* name;
  std::vector<int> steps;
};
const std::array<SoilClass, 5> classes{{{"two layers, rising", {1}},
                                        {"two layers, falling", {-1}},
                                        {"bowl (H)", {-1, 1}},
                                        {"bell (K)", {1, -1}},
                                        {"monotone (A, Q)", {}}}};

/// From 0 up to 1.
double part(std::mt19937_64& random) {
  return static_cast<double>(random() >> 11) * 0x1.0p-53;
}

double between(std::mt19937_64& random, double least, double greatest) {
  return least * std::pow(greatest / least, part(random));
}

/// Even in the logarithm; steps by a factor of 2.5 to 15.
earth::LayeredSoil draw_soil(std::mt19937_64& random, const SoilClass& kind) {
  std::vector<int> steps = kind.steps;
  if (steps.empty()) steps.assign(2, random() % 2 == 0 ? 1 : -1);
  std::vector<earth::Layer> layers{{between(random, 20.0, 500.0), between(random, 0.4, 4.0)}};
  for (const int step : steps)
    layers.push_back({layers.back().resistivity_ohm_m * std::pow(between(random, 2.5, 15.0), step),
                      between(random, 1.0, 8.0)});
  layers.back().thickness_m = endless_m;
  return earth::LayeredSoil(layers);
}

/// Ten Wenner readings from 0.5 to 30 m, 4 % normal error (Box and Muller), stated as such.
std::vector<FourPoleReading> measure(std::mt19937_64& random, const earth::LayeredSoil& soil) {
  constexpr double error_ratio = 0.04;
  std::vector<FourPoleReading> readings;
  for (int i = 0; i < 10; ++i) {
    const double spacing_m = 0.5 * std::pow(60.0, i / 9.0);
    FourPoleReading reading = sounding::wenner_reading(spacing_m, 1.0);
    reading.relative_error_ratio = error_ratio;
    const double distance = std::sqrt(-2.0 * std::log1p(-part(random)));
    const double normal = distance * std::cos(2.0 * std::numbers::pi * part(random));
    reading.resistance_ohm = sounding::modelled_apparent_resistivity_ohm_m(soil, reading) /
                             (2.0 * std::numbers::pi * spacing_m) * std::exp(error_ratio * normal);
    readings.push_back(reading);
  }
  return readings;
}

double rod_ohm(const earth::LayeredSoil& soil) {
  static const std::vector<electrode::Electrode> rod{
      {"rod", electrode::conductors_of(electrode::Rod{2.4, 0.016})}};
  return electrode::solve_field(soil, rod, {1e-2}).resistance_ohm(0, 0);
}

struct Outcome {
  bool is_covered = false;
  double width_ratio = 0.0;  // greatest over least
};

Outcome interval_of(const std::vector<FourPoleReading>& readings, const earth::LayeredSoil& truth,
                    std::uint64_t seed) {
  sounding::PosteriorOptions options;
  options.sample_count = 100;
  options.greatest_layer_count = 4;
  options.run_count = 2;
  options.step_count = 20000;
  options.seed = seed;
  std::vector<double> resistances_ohm;
  for (const earth::LayeredSoil& soil : sounding::sample_posterior(readings, options).soils) {
    try {
      resistances_ohm.push_back(rod_ohm(soil));
    } catch (const DomainError&) {
      continue;  // a draw too extreme for the field solution; study leaves out the same, up to one in a hundred
    }
  }
  REQUIRE(resistances_ohm.size() >= 99);
  std::sort(resistances_ohm.begin(), resistances_ohm.end());
  const double least_ohm = quantile(resistances_ohm, 0.05);
  const double greatest_ohm = quantile(resistances_ohm, 0.95);
  const double true_ohm = rod_ohm(truth);
  return {true_ohm >= least_ohm && true_ohm <= greatest_ohm, greatest_ohm / least_ohm};
}

struct Coverage {
  std::array<double, classes.size()> of_class_ratio{};
  double of_all_ratio = 0.0;
  double median_width_ratio = 0.0;
};

Coverage coverage_of(int soundings_per_class, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<earth::LayeredSoil> truths;
  std::vector<std::vector<FourPoleReading>> sheets;
  for (int i = 0; i < soundings_per_class; ++i)
    for (const SoilClass& kind : classes) {
      truths.push_back(draw_soil(random, kind));
      sheets.push_back(measure(random, truths.back()));
    }
  std::vector<Outcome> outcomes(truths.size());
  for (std::size_t i = 0; i < truths.size(); ++i)
    outcomes[i] = interval_of(sheets[i], truths[i], seed + i);
  Coverage coverage;
  std::vector<double> widths;
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    const double hit = outcomes[i].is_covered ? 1.0 / soundings_per_class : 0.0;
    coverage.of_class_ratio.at(i % classes.size()) += hit;
    coverage.of_all_ratio += hit / static_cast<double>(classes.size());
    widths.push_back(outcomes[i].width_ratio);
  }
  std::sort(widths.begin(), widths.end());
  coverage.median_width_ratio = quantile(widths, 0.5);
  return coverage;
}

void print(const Coverage& coverage, int soundings_per_class) {
  std::printf("coverage of the 90 %% interval over %d soundings a class: all %.1f %%, median width %.3f\n",
              soundings_per_class, 100 * coverage.of_all_ratio, coverage.median_width_ratio);
  for (std::size_t i = 0; i < classes.size(); ++i)
    std::printf("  %s: %.1f %%\n", classes[i].name, 100 * coverage.of_class_ratio[i]);
}

}  // namespace

TEST_CASE("intervals of a rod's resistance hold the truth in a small sample", "[sounding][posterior]") {
  // Of 20 at 90 %: 14 or fewer has a chance of about 1 in 90 (binomial).
  CHECK(coverage_of(4, 20261126).of_all_ratio >= 0.70);
}

// May fail: the bowl stands at 83.2 % with this short sampler (reference/CALIBRATION.md).
TEST_CASE("intervals of a rod's resistance hold the truth as often as they say",
          "[sounding][posterior][slow][!mayfail]") {
  const int soundings_per_class = 400;
  const Coverage coverage = coverage_of(soundings_per_class, 20261127);
  print(coverage, soundings_per_class);
  CHECK(coverage.of_all_ratio >= 0.88);
  for (std::size_t i = 0; i < classes.size(); ++i) {
    INFO(classes[i].name);
    CHECK(coverage.of_class_ratio[i] >= 0.85);
  }
}
