// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/earth/surface_readings.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <vector>

using namespace ohmroot::earth;

TEST_CASE("prepared readings are those of the kernel that is fitted to each soil", "[earth]") {
  std::mt19937_64 random(71);
  const auto between = [&](double least, double greatest) {
    return least * std::pow(greatest / least, static_cast<double>(random() >> 11) * 0x1p-53);
  };
  const std::array<double, 4> spacings_m{0.5, 2.0, 8.0, 30.0};
  std::vector<std::vector<SurfaceReadings::Term>> terms;
  for (const double a : spacings_m)
    terms.push_back({{a, 2.0}, {2.0 * a, -2.0}});
  const SurfaceReadings prepared(terms, {0.01, 30.0});
  double worst = 0.0;
  for (int trial = 0; trial < 300; ++trial) {
    const std::size_t layer_count = 1 + random() % 5;
    std::vector<double> ohm_m{between(20.0, 500.0)}, depths_m;
    for (std::size_t i = 1; i < layer_count; ++i) {
      ohm_m.push_back(std::clamp(ohm_m.back() * between(0.05, 20.0), 1.0, 1e4));
      depths_m.push_back(between(0.1, 30.0));
    }
    std::sort(depths_m.begin(), depths_m.end());
    std::vector<Layer> layers;
    for (std::size_t i = 0; i < layer_count; ++i) {
      if (i > 0 && i < depths_m.size()) depths_m[i] = std::max(depths_m[i], 1.11 * depths_m[i - 1]);
      layers.push_back({ohm_m[i], i < depths_m.size() ? depths_m[i] - (i > 0 ? depths_m[i - 1] : 0.0) : 0.0});
    }
    if (!depths_m.empty() && depths_m.back() > 30.0) continue;
    const SurfaceKernel kernel{LayeredSoil(layers)};
    std::array<double, 4> found_ohm{};
    prepared.resistances_ohm(ohm_m, depths_m, found_ohm);
    for (std::size_t i = 0; i < spacings_m.size(); ++i) {
      const std::array<double, 2> distances_m{spacings_m[i], 2.0 * spacings_m[i]};
      std::array<double, 2> potentials_ohm{};
      kernel.potentials_ohm(distances_m, potentials_ohm);
      worst = std::max(worst, std::abs(found_ohm[i] / (2.0 * (potentials_ohm[0] - potentials_ohm[1])) - 1.0));
    }
  }
  CAPTURE(worst);
  CHECK(worst < 3e-4);
}

TEST_CASE("slopes of prepared readings are those of small differences", "[earth]") {
  std::vector<std::vector<SurfaceReadings::Term>> terms;
  for (const double a : {0.5, 2.0, 8.0})
    terms.push_back({{a, 2.0}, {2.0 * a, -2.0}});
  const SurfaceReadings prepared(terms, {0.05, 30.0});
  for (const std::size_t layer_count : {1U, 2U, 4U}) {
    const std::vector<double> ohm_m{100.0, 20.0, 300.0, 60.0}, depths_m{0.7, 2.0, 6.0};
    std::vector<double> parameters(ohm_m.begin(), ohm_m.begin() + static_cast<std::ptrdiff_t>(layer_count));
    parameters.insert(parameters.end(), depths_m.begin(),
                      depths_m.begin() + static_cast<std::ptrdiff_t>(layer_count) - 1);
    const auto at = [&](const std::vector<double>& p) {
      std::vector<double> results(prepared.count());
      prepared.resistances_ohm({p.data(), layer_count}, {p.data() + layer_count, layer_count - 1}, results);
      return results;
    };
    std::vector<double> results(prepared.count()), slopes(prepared.count() * parameters.size());
    prepared.resistances_and_slopes_ohm({parameters.data(), layer_count},
                                        {parameters.data() + layer_count, layer_count - 1}, results, slopes);
    const std::vector<double> plain = at(parameters);
    for (std::size_t k = 0; k < parameters.size(); ++k) {
      std::vector<double> more = parameters, less = parameters;
      const double step = 1e-4 * parameters[k];
      more[k] += step;
      less[k] -= step;
      const std::vector<double> above = at(more), below = at(less);
      for (std::size_t i = 0; i < prepared.count(); ++i) {
        CAPTURE(layer_count, k, i);
        CHECK(results[i] == Approx(plain[i]).epsilon(1e-12));
        CHECK(slopes[k * prepared.count() + i] == Approx((above[i] - below[i]) / (2.0 * step))
                                                      .epsilon(1e-5)
                                                      .margin(1e-7 * plain[i] / parameters[k]));
      }
    }
  }
}

TEST_CASE("prepared readings refuse what they cannot mean", "[earth]") {
  CHECK_THROWS_AS(SurfaceReadings({{{0.0, 1.0}}}, {0.1, 10.0}), ohmroot::DomainError);
  CHECK_THROWS_AS(SurfaceReadings({{{1.0, 1.0}}}, {0.1, 0.01}), ohmroot::DomainError);
  const SurfaceReadings prepared({{{1.0, 1.0}}}, {0.1, 10.0});
  std::array<double, 1> result{};
  const std::array<double, 2> ohm_m{10.0, 20.0};
  CHECK_THROWS_AS(prepared.resistances_ohm(ohm_m, {}, result), ohmroot::DomainError);
  CHECK_THROWS_AS(prepared.resistances_ohm(ohm_m, std::array<double, 1>{1.0}, {}), ohmroot::DomainError);
  std::array<double, 2> slopes{};
  CHECK_THROWS_AS(prepared.resistances_and_slopes_ohm(ohm_m, std::array<double, 1>{1.0}, result, slopes),
                  ohmroot::DomainError);
}
