// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/images.hpp>
#include <ohmroot/earth/detail/ray_filter.hpp>
#include <ohmroot/earth/surface_potential.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

using namespace ohmroot::earth;
using std::numbers::pi;

namespace {

constexpr auto contrasts = {1e-3, 1e-2, 0.1, 0.5, 0.97, 1.0001, 2.0, 10.0, 100.0, 1000.0};
constexpr auto distance_ratios = {0.001, 0.03, 0.3, 1.0, 2.3, 6.0, 13.0, 40.0, 110.0, 199.0, 320.0, 1000.0};

LayeredSoil two_layers(double top_ohm_m, double bottom_ohm_m, double thickness_m) {
  return LayeredSoil({{top_ohm_m, thickness_m}, {bottom_ohm_m, 0.0}});
}

/// The image series added term by term in extended precision until nothing is left: slow, plain, sure.
double plain_image_potential_ohm(const LayeredSoil& soil, double distance_m) {
  const long double rho1 = soil.layers()[0].resistivity_ohm_m;
  const long double rho2 = soil.layers()[1].resistivity_ohm_m;
  const long double x = distance_m / (2.0L * soil.layers()[0].thickness_m);
  const long double decay = -std::log1p(-2.0L * std::min(rho1, rho2) / (rho1 + rho2));
  long double sum = 0.0L;
  for (long double n = std::ceil(46.0L / decay); n >= 1.0L; n -= 1.0L) {
    const bool is_negative = rho2 < rho1 && std::fmod(n, 2.0L) == 1.0L;
    const long double term = std::exp(-decay * n) / std::sqrt(n * n + x * x);
    sum += is_negative ? -term : term;
  }
  return static_cast<double>(rho1 / (2.0L * std::numbers::pi_v<long double> * distance_m) *
                             (1.0L + 2.0L * x * sum));
}

double wenner_ohm_m(const LayeredSoil& soil, double a_m) {
  return 2.0 * pi * a_m * 2.0 *
         surface_potential_difference_ohm(soil, {.middle_m = 1.5 * a_m, .half_gap_m = 0.5 * a_m});
}

double schlumberger_ohm_m(const LayeredSoil& soil, double L_m, double l_m) {
  return pi * (L_m * L_m - l_m * l_m) / (2.0 * l_m) * 2.0 *
         surface_potential_difference_ohm(soil, {.middle_m = L_m, .half_gap_m = l_m});
}

double ratio_error(double found, double expected) {
  return std::abs(found / expected - 1.0);
}

LayeredSoil random_soil(std::mt19937_64& random) {
  std::uniform_real_distribution<double> log_rho(std::log(5.0), std::log(5000.0));
  std::uniform_real_distribution<double> log_h(std::log(0.05), std::log(30.0));
  std::vector<Layer> layers(std::uniform_int_distribution<std::size_t>(2, 5)(random));
  for (Layer& layer : layers)
    layer = {std::exp(log_rho(random)), std::exp(log_h(random))};
  return LayeredSoil(layers);
}

}  // namespace

TEST_CASE("over uniform soil the potential is rho / (2 pi r)", "[earth]") {
  CHECK(surface_potential_ohm(LayeredSoil(100.0), 4.0) == Approx(100.0 / (8.0 * pi)).epsilon(1e-15));
  CHECK(surface_potential_ohm(two_layers(100.0, 100.0, 2.0), 4.0) ==
        Approx(100.0 / (8.0 * pi)).epsilon(1e-14));
}

TEST_CASE("images, ray integral and plain sum agree to 1e-11 over two layers, 1:1000 both ways, "
          "0.001 to 1000 thicknesses",
          "[earth][property]") {
  for (const double contrast : contrasts) {
    for (const double ratio : distance_ratios) {
      const double thickness_m = 1.7;
      const LayeredSoil soil = two_layers(230.0, 230.0 * contrast, thickness_m);
      const double distance_m = ratio * thickness_m;
      const double expected = plain_image_potential_ohm(soil, distance_m);
      CAPTURE(contrast, ratio);
      CHECK(ratio_error(surface_potential_ohm(soil, distance_m), expected) < 1e-11);
      CHECK(ratio_error(detail::image_potential_ohm(soil, distance_m), expected) < 2e-11);
      CHECK(ratio_error(detail::ray_potential_ohm(soil, distance_m), expected) < 2e-12);
    }
  }
}

TEST_CASE("apparent resistivities agree with forty-digit arithmetic to every digit known", "[earth]") {
  // Computed independently in 40-digit arithmetic by image sums and Hankel integrals that agree to 1e-10;
  // ten digits were kept.
  const LayeredSoil a = two_layers(100.0, 25.0, 2.0);
  const LayeredSoil b = two_layers(60.0, 400.0, 1.2);
  const LayeredSoil c({{250.0, 1.5}, {40.0, 3.5}, {600.0, 0.0}});
  const LayeredSoil d({{80.0, 0.7}, {900.0, 2.8}, {30.0, 0.0}});
  const LayeredSoil e({{120.0, 0.5}, {30.0, 1.5}, {500.0, 4.0}, {60.0, 0.0}});
  const struct {
    const LayeredSoil& soil;
    double a_m;
    double expected_ohm_m;
  } wenner_rows[] = {
      {a, 0.5, 99.38041808}, {a, 2, 79.81423297},    {a, 6, 34.5176413},   {a, 20, 25.43890443},
      {b, 0.6, 63.8465737},  {b, 1.8, 102.2605374},  {b, 12, 297.1623065}, {c, 1, 224.9890363},
      {c, 5, 82.71201487},   {c, 25, 240.4730332},   {d, 1, 139.7641774},  {d, 5, 322.9171272},
      {d, 25, 53.68148679},  {e, 0.75, 75.94402099}, {e, 3, 66.56716544},  {e, 12, 135.4545021},
      {e, 48, 78.4356586},
  };
  for (const auto& row : wenner_rows) {
    CAPTURE(row.a_m, row.expected_ohm_m);
    CHECK(ratio_error(wenner_ohm_m(row.soil, row.a_m), row.expected_ohm_m) < 1e-9);
  }
  const struct {
    const LayeredSoil& soil;
    double half_ab_m;
    double ideal_ohm_m;
    double finite_ohm_m;  // MN = AB/5
  } schlumberger_rows[] = {{c, 3, 144.3083296, 149.0061815},
                           {c, 12, 109.3140449, 106.9920302},
                           {a, 3, 76.70492409, 77.83710153},
                           {a, 12, 27.81764596, 28.2856411}};
  for (const auto& row : schlumberger_rows) {
    CAPTURE(row.half_ab_m);
    const double L = row.half_ab_m;
    CHECK(ratio_error(schlumberger_ohm_m(row.soil, L, L / 5.0), row.finite_ohm_m) < 1e-9);
    CHECK(ratio_error(schlumberger_ohm_m(row.soil, L, 1e-7 * L), row.ideal_ohm_m) < 1e-9);
  }
}

TEST_CASE("a potential difference keeps its digits however close the two points are", "[earth]") {
  const LayeredSoil alike({{100.0, 0.6}, {100.0, 1.1}, {100.0, 0.0}});  // uniform, by the layered route
  for (const double half_gap_m : {1e-9, 1e-6, 1e-3, 0.0149, 0.0151, 0.3}) {
    CAPTURE(half_gap_m);
    CHECK(ratio_error(schlumberger_ohm_m(alike, 3.0, half_gap_m), 100.0) < 1e-11);
  }
  const LayeredSoil soil = two_layers(500.0, 5.0, 1.0);
  for (const double ratio : {0.1, 1.0, 10.0, 100.0}) {
    CAPTURE(ratio);
    const double below = schlumberger_ohm_m(soil, ratio, 0.00499 * ratio);  // by the field
    const double above = schlumberger_ohm_m(soil, ratio, 0.00501 * ratio);  // by two potentials
    CHECK(ratio_error(below, above) < 2e-6);  // the array itself changes by 4e-3 squared between the two
  }
}

TEST_CASE("cutting a layer in two changes nothing", "[earth][property]") {
  const LayeredSoil whole = two_layers(800.0, 12.0, 3.0);
  const LayeredSoil cut({{800.0, 0.4}, {800.0, 2.6}, {12.0, 5.0}, {12.0, 0.0}});
  for (const double distance_m : {0.01, 0.5, 3.0, 20.0, 300.0}) {
    CAPTURE(distance_m);
    CHECK(ratio_error(surface_potential_ohm(cut, distance_m), surface_potential_ohm(whole, distance_m)) <
          1e-11);
  }
}

TEST_CASE("the transform of a soil times that of its dual, each resistivity inverted, is 1",
          "[earth][property]") {
  std::mt19937_64 random(20240611);
  for (int trial = 0; trial < 200; ++trial) {
    const LayeredSoil soil = random_soil(random);
    std::vector<Layer> dual = soil.layers();
    for (Layer& layer : dual)
      layer.resistivity_ohm_m = 1.0 / layer.resistivity_ohm_m;
    for (const double wavenumber_per_m : {0.0, 1e-4, 0.03, 1.0, 40.0, 1e6}) {
      CHECK(resistivity_transform_ohm_m(soil, wavenumber_per_m) *
                resistivity_transform_ohm_m(LayeredSoil(dual), wavenumber_per_m) ==
            Approx(1.0).epsilon(1e-12));
    }
  }
}

TEST_CASE("the transform runs from the half-space at 0 to the top layer at large wavenumbers", "[earth]") {
  const LayeredSoil soil({{250.0, 1.5}, {40.0, 3.5}, {600.0, 0.0}});
  CHECK(resistivity_transform_ohm_m(soil, 0.0) == Approx(600.0));
  CHECK(resistivity_transform_ohm_m(soil, 1e5) == Approx(250.0));
}

TEST_CASE("close by the top layer shows, far away the half-space", "[earth]") {
  for (const double base_ohm_m : {3.0, 3000.0}) {
    const LayeredSoil soil({{100.0, 2.0}, {20.0, 1.0}, {base_ohm_m, 0.0}});
    CHECK(2.0 * pi * 1e-6 * surface_potential_ohm(soil, 1e-6) == Approx(100.0).epsilon(1e-4));
    CHECK(2.0 * pi * 1e7 * surface_potential_ohm(soil, 1e7) == Approx(base_ohm_m).epsilon(1e-4));
  }
}

TEST_CASE("over an insulating base the far Wenner curve rises as 2 ln 2 a / S", "[earth]") {
  // S-rule: Society of Exploration Geophysicists wiki, 'Dictionary: S-rule'; constant 2 ln 2 from the
  // potential of a line source in a sheet of conductance S = sum h / rho (derived).
  const LayeredSoil soil({{50.0, 0.5}, {20.0, 1.5}, {1e10, 0.0}});
  const double conductance = 0.5 / 50.0 + 1.5 / 20.0;
  CHECK(wenner_ohm_m(soil, 400.0) == Approx(2.0 * std::numbers::ln2 * 400.0 / conductance).epsilon(1e-4));
}

TEST_CASE("resistivities and lengths scale as they must", "[earth][property]") {
  std::mt19937_64 random(7);
  for (int trial = 0; trial < 50; ++trial) {
    const LayeredSoil soil = random_soil(random);
    std::vector<Layer> scaled = soil.layers();
    for (Layer& layer : scaled)
      layer = {3.0 * layer.resistivity_ohm_m, 7.0 * layer.thickness_m};
    const double distance_m = std::exp(std::uniform_real_distribution<double>(-4.0, 5.0)(random));
    CHECK(surface_potential_ohm(LayeredSoil(scaled), 7.0 * distance_m) ==
          Approx(3.0 / 7.0 * surface_potential_ohm(soil, distance_m)).epsilon(1e-11));
  }
}

TEST_CASE("the Wenner resistance never grows with spacing over layered soil", "[earth][property]") {
  // The old field rule that a sounding curve rises no steeper than 45 degrees (from memory).
  std::mt19937_64 random(11);
  for (int trial = 0; trial < 60; ++trial) {
    const LayeredSoil soil = random_soil(random);
    double last_ohm = std::numeric_limits<double>::infinity();
    for (double a_m = 0.05; a_m < 500.0; a_m *= 1.4) {
      const double resistance_ohm = wenner_ohm_m(soil, a_m) / a_m;
      CHECK(resistance_ohm <= last_ohm * (1.0 + 1e-12));
      last_ohm = resistance_ohm;
    }
  }
}

TEST_CASE("distances and wavenumbers that cannot be are refused", "[earth]") {
  const LayeredSoil soil = two_layers(100.0, 50.0, 1.0);
  const double nan_value = std::numeric_limits<double>::quiet_NaN();
  for (const double bad : {0.0, -1.0, nan_value, std::numeric_limits<double>::infinity()})
    CHECK_THROWS_AS(surface_potential_ohm(soil, bad), ohmroot::DomainError);
  for (const DistancePair& bad :
       {DistancePair{1.0, 0.0}, {1.0, 1.0}, {1.0, 2.0}, {nan_value, 0.1}, {1.0, nan_value}})
    CHECK_THROWS_AS(surface_potential_difference_ohm(soil, bad), ohmroot::DomainError);
  CHECK_THROWS_AS(resistivity_transform_ohm_m(soil, -1.0), ohmroot::DomainError);
}
