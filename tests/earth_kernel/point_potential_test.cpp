// SPDX-License-Identifier: MIT
#include "independent.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/earth/surface_potential.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

using namespace ohmroot::earth;

namespace {

/// Log-uniform between two values.
double draw(std::mt19937_64& random, double least, double greatest) {
  std::uniform_real_distribution<double> part(0.0, 1.0);
  return least * std::pow(greatest / least, part(random));
}

LayeredSoil random_soil(std::mt19937_64& random, int layer_count, double contrast) {
  std::vector<Layer> layers;
  for (int i = 0; i < layer_count; ++i)
    layers.push_back({draw(random, 1.0, contrast), draw(random, 0.1, 10.0)});
  return LayeredSoil(layers);
}

PointPair random_pair(std::mt19937_64& random) {
  return {draw(random, 0.01, 100.0), draw(random, 0.01, 20.0), draw(random, 0.01, 20.0)};
}

double relative(double value, double truth) {
  return std::abs(value / truth - 1.0);
}

}  // namespace

TEST_CASE("point potentials meet values computed by images and by adaptive quadrature") {
  // Derived, not published: image series, adaptive Hankel quadrature agreeing to 2e-11 and 9e-12.
  const LayeredSoil two({{100.0, 1.0}, {1000.0, 0.0}});
  const LayeredSoil three({{100.0, 1.0}, {20.0, 2.0}, {500.0, 0.0}});
  CHECK(point_potential_ohm(two, {1.0, 0.5, 0.0}) == Approx(40.281799).epsilon(1e-8).scale(0));
  CHECK(point_potential_ohm(three, {2.0, 0.5, 0.0}) == Approx(5.8522595).epsilon(1e-8).scale(0));
  CHECK(ImageKernel(two, 1.0).potential_ohm({1.0, 0.5, 0.0}) == Approx(40.281799).epsilon(1e-7).scale(0));
  CHECK(ImageKernel(three, 1.0).potential_ohm({2.0, 0.5, 0.0}) == Approx(5.8522595).epsilon(1e-7).scale(0));
}

TEST_CASE("the accurate route agrees with the image sum of two layers to 1e-8") {
  std::mt19937_64 random(31);
  for (const double contrast : {1e-3, 0.01, 0.2, 5.0, 100.0, 1e3}) {
    for (int i = 0; i < 15; ++i) {
      const LayeredSoil soil({{10.0, 1.0}, {10.0 * contrast, 0.0}});
      const PointPair pair{draw(random, 1e-3, 1e3), draw(random, 0.01, 1.0), draw(random, 0.01, 1.0)};
      CAPTURE(contrast, pair.distance_m, pair.source_depth_m, pair.receiver_depth_m);
      CHECK(relative(point_potential_ohm(soil, pair), independent::image_sum_ohm(soil, pair)) < 1e-8);
    }
  }
}

TEST_CASE("the accurate route agrees with a Hankel integral over continuity equations to 1e-8") {
  // Three layers, contrasts to 1:1000; source and receiver in each, away from the boundaries.
  for (const auto& rho :
       std::vector<std::vector<double>>{{100, 20, 500}, {1, 1000, 1}, {1000, 1, 1000}, {1, 30, 900}}) {
    const LayeredSoil soil({{rho[0], 1.0}, {rho[1], 2.0}, {rho[2], 0.0}});
    for (const double source : {0.5, 2.0, 3.6}) {
      for (const double receiver : {0.4, 1.7, 4.0}) {
        const PointPair pair{1.5, source, receiver};
        const bool one_layer = (source < 1) == (receiver < 1) && (source > 3) == (receiver > 3);
        const std::size_t layer = source < 1 ? 0 : source < 3 ? 1 : 2;
        const double direct =
            one_layer ? rho[layer] / (4.0 * std::numbers::pi) / std::hypot(1.5, source - receiver) : 0.0;
        const double truth = direct + independent::hankel_integral_ohm(soil, pair, 0.3);
        CAPTURE(rho, source, receiver);
        CHECK(relative(point_potential_ohm(soil, pair), truth) < 1e-8);
      }
    }
  }
}

TEST_CASE("the accurate route and the surface route agree for ten layers") {
  std::mt19937_64 random(32);
  for (int i = 0; i < 40; ++i) {
    const LayeredSoil soil = random_soil(random, 10, 1e3);
    const double distance = draw(random, 1e-3, 1e3);
    CHECK(relative(point_potential_ohm(soil, {distance, 0.0, 0.0}), surface_potential_ohm(soil, distance)) <
          1e-9);
  }
}

TEST_CASE("the fast route keeps to its own estimate") {
  std::mt19937_64 random(33);
  for (const int layer_count : {2, 3, 5, 10}) {
    for (int i = 0; i < 15; ++i) {
      const LayeredSoil soil = random_soil(random, layer_count, 1e3);
      const ImageKernel kernel(soil, 20.0);
      CHECK(kernel.fit_error_ratio() < 1e-4);
      for (int j = 0; j < 8; ++j) {
        const PointPair pair = random_pair(random);
        CAPTURE(layer_count, i, pair.distance_m, pair.source_depth_m, pair.receiver_depth_m);
        CHECK(relative(kernel.potential_ohm(pair), point_potential_ohm(soil, pair)) <
              std::max(1e-6, 10.0 * kernel.fit_error_ratio()));
      }
    }
  }
}

TEST_CASE("the fast route serves soundings: 1e-6 to contrasts of 100, 1e-4 to 1000") {
  for (const double contrast : {1e-3, 1e-2, 0.1, 10.0, 1e2, 1e3}) {
    const LayeredSoil soil({{100.0, 1.0}, {100.0 * contrast, 0.0}});
    const SurfaceKernel kernel(soil);
    const double allowed = contrast > 1e-3 && contrast < 1e3 ? 1e-6 : 1e-4;
    std::vector<double> distances;
    for (double distance = 1e-3; distance < 1e3; distance *= 1.4)
      distances.push_back(distance);
    std::vector<double> potentials(distances.size());
    kernel.potentials_ohm(distances, potentials);
    for (std::size_t i = 0; i < distances.size(); ++i) {
      CAPTURE(contrast, distances[i]);
      CHECK(relative(potentials[i], surface_potential_ohm(soil, distances[i])) < allowed);
      CHECK(relative(ImageKernel(soil, 0.0).potential_ohm({distances[i], 0.0, 0.0}), potentials[i]) <
            2.0 * allowed);
    }
  }
}

TEST_CASE("source and receiver may be exchanged") {
  // Reciprocity (Green's theorem).
  std::mt19937_64 random(34);
  for (int i = 0; i < 30; ++i) {
    const LayeredSoil soil = random_soil(random, 4, 1e3);
    const PointPair pair = random_pair(random);
    const PointPair swapped{pair.distance_m, pair.receiver_depth_m, pair.source_depth_m};
    const ImageKernel kernel(soil, 20.0);
    CHECK(relative(point_potential_ohm(soil, pair), point_potential_ohm(soil, swapped)) < 1e-12);
    CHECK(relative(kernel.potential_ohm(pair), kernel.potential_ohm(swapped)) < 1e-12);
  }
}

TEST_CASE("a layer cut in two changes nothing") {
  std::mt19937_64 random(35);
  for (int i = 0; i < 20; ++i) {
    const LayeredSoil soil = random_soil(random, 3, 100.0);
    auto layers = soil.layers();
    layers[1].thickness_m *= 0.37;
    layers.insert(layers.begin() + 2, {layers[1].resistivity_ohm_m, soil.layers()[1].thickness_m * 0.63});
    const LayeredSoil cut(layers);
    const PointPair pair = random_pair(random);
    CHECK(relative(point_potential_ohm(cut, pair), point_potential_ohm(soil, pair)) < 1e-9);
    CHECK(relative(ImageKernel(cut, 20.0).potential_ohm(pair), ImageKernel(soil, 20.0).potential_ohm(pair)) <
          1e-5);
  }
}

TEST_CASE("equal layers are uniform soil") {
  const LayeredSoil layered({{70.0, 1.0}, {70.0, 3.0}, {70.0, 0.0}});
  for (const PointPair& pair :
       {PointPair{2.0, 0.5, 3.0}, PointPair{0.0, 0.0, 6.0}, PointPair{5.0, 0.0, 0.0}}) {
    const double truth = 70.0 / (4.0 * std::numbers::pi) *
                         (1.0 / std::hypot(pair.distance_m, pair.source_depth_m - pair.receiver_depth_m) +
                          1.0 / std::hypot(pair.distance_m, pair.source_depth_m + pair.receiver_depth_m));
    CHECK(point_potential_ohm(layered, pair) == Approx(truth).epsilon(1e-10).scale(0));
    CHECK(ImageKernel(layered, 6.0).potential_ohm(pair) == Approx(truth).epsilon(1e-9).scale(0));
  }
}

TEST_CASE("far away only the bottom layer counts") {
  // V = rho_bottom I / (2 pi r).
  std::mt19937_64 random(36);
  for (int i = 0; i < 20; ++i) {
    const LayeredSoil soil = random_soil(random, 4, 100.0);
    const double distance = 1e7;
    const double truth = soil.layers().back().resistivity_ohm_m / (2.0 * std::numbers::pi * distance);
    CHECK(point_potential_ohm(soil, {distance, 0.3, 1.2}) == Approx(truth).epsilon(1e-3).scale(0));
  }
}

TEST_CASE("over an insulating basement the potential falls with the logarithm, by the layers' conductance") {
  // S-rule: dV/d ln r = -1 / (2 pi S), S the sum of thickness over resistivity.
  const LayeredSoil soil({{50.0, 1.0}, {20.0, 2.0}, {1e9, 0.0}});
  const double s = 1.0 / 50.0 + 2.0 / 20.0;
  const double fall =
      point_potential_ohm(soil, {100.0, 0.5, 0.0}) - point_potential_ohm(soil, {200.0, 0.5, 0.0});
  CHECK(fall == Approx(std::log(2.0) / (2.0 * std::numbers::pi * s)).epsilon(1e-3).scale(0));
}

TEST_CASE("the surface kernel holds for ten layers") {
  std::mt19937_64 random(37);
  for (int i = 0; i < 60; ++i) {
    const LayeredSoil soil = random_soil(random, 10, 100.0);
    const double distance = draw(random, 1e-3, 1e3);
    double potential = 0.0;
    SurfaceKernel(soil).potentials_ohm({&distance, 1}, {&potential, 1});
    CHECK(relative(potential, surface_potential_ohm(soil, distance)) < 1e-6);
  }
}

TEST_CASE("bad points are refused") {
  const LayeredSoil soil({{50.0, 1.0}, {20.0, 0.0}});
  const double nowhere = 0.0;
  double potential = 0.0;
  CHECK_THROWS_AS(SurfaceKernel(soil).potentials_ohm({&nowhere, 1}, {&potential, 1}), ohmroot::DomainError);
  CHECK_THROWS_AS(SurfaceKernel(soil).potentials_ohm({}, {&potential, 1}), ohmroot::DomainError);
  CHECK_THROWS_AS(point_potential_ohm(soil, {-1.0, 0.0, 0.0}), ohmroot::DomainError);
  CHECK_THROWS_AS(point_potential_ohm(soil, {1.0, -0.1, 0.0}), ohmroot::DomainError);
  CHECK_THROWS_AS(point_potential_ohm(soil, {0.0, 0.5, 0.5}), ohmroot::DomainError);
  CHECK_THROWS_AS(ImageKernel(soil, 0.5).potential_ohm({1.0, 0.5, 2.0}), ohmroot::DomainError);
}
