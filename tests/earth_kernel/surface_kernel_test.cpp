// SPDX-License-Identifier: MIT
// Derivatives of the surface potential against differences of the accurate route, and against the scaling of the
// potential: V(c rho, d h, d r) = c / d V(rho, h, r) (dimension analysis).
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/earth/surface_potential.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <random>
#include <vector>

namespace {

using namespace ohmroot::earth;

LayeredSoil soil_of(const std::vector<double>& ln_values) {
  std::vector<Layer> layers((ln_values.size() + 1) / 2);
  for (std::size_t i = 0; i < layers.size(); ++i)
    layers[i] = {std::exp(ln_values[i]),
                 i + 1 < layers.size() ? std::exp(ln_values[layers.size() + i]) : 0.0};
  return LayeredSoil(layers);
}

}  // namespace

TEST_CASE("derivatives by each layer are those of the accurate route") {
  std::mt19937_64 random(20261126);
  std::uniform_real_distribution<double> ln_rho(std::log(10.0), std::log(1000.0));
  std::uniform_real_distribution<double> ln_thickness(std::log(0.3), std::log(10.0));
  const std::vector<double> distances{0.2, 1.0, 4.0, 15.0, 60.0};
  for (std::size_t layer_count = 1; layer_count <= 5; ++layer_count) {
    std::vector<double> at(2 * layer_count - 1);
    for (std::size_t i = 0; i < at.size(); ++i)
      at[i] = i < layer_count ? ln_rho(random) : ln_thickness(random);
    const SurfaceKernel kernel(soil_of(at), Derivatives::by_layer);
    REQUIRE(kernel.parameter_count() == at.size());
    std::vector<double> found(distances.size() * at.size());
    kernel.derivatives_ohm(distances, found);
    for (std::size_t p = 0; p < at.size(); ++p) {
      constexpr double step = 1e-4;
      auto above = at;
      auto below = at;
      above[p] += step;
      below[p] -= step;
      for (std::size_t i = 0; i < distances.size(); ++i) {
        const double expected = (surface_potential_ohm(soil_of(above), distances[i]) -
                                 surface_potential_ohm(soil_of(below), distances[i])) /
                                (2.0 * step);
        const double scale = surface_potential_ohm(soil_of(at), distances[i]);
        CAPTURE(layer_count, p, distances[i]);
        CHECK(std::abs(found[p * distances.size() + i] - expected) < 1e-5 * scale);
      }
    }
    for (std::size_t i = 0; i < distances.size(); ++i) {
      double sum = 0.0;
      for (std::size_t p = 0; p < layer_count; ++p)
        sum += found[p * distances.size() + i];
      double potential = 0.0;
      kernel.potentials_ohm({&distances[i], 1}, {&potential, 1});
      CHECK(sum == Approx(potential).epsilon(1e-9));
    }
  }
}

TEST_CASE("derivatives need a kernel that was fitted for them") {
  const double distance = 1.0;
  double result = 0.0;
  CHECK_THROWS_AS(SurfaceKernel(LayeredSoil(100.0)).derivatives_ohm({&distance, 1}, {&result, 1}),
                  ohmroot::DomainError);
}
