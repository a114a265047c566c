// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/electrode/plate.hpp>

#include <Eigen/Dense>
#include <boost/math/quadrature/gauss.hpp>
#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

using namespace ohmroot::electrode;
using ohmroot::DomainError;
using ohmroot::earth::LayeredSoil;
using std::numbers::pi;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();
constexpr auto horizontal = PlateAttitude::horizontal;
constexpr auto vertical = PlateAttitude::vertical;

/// Horizontal disc in uniform soil by Love's integral equation (Love, Quart. J. Mech. Appl. Math. 2 (1949)
/// 428, from memory), disc and image of the same sign:
///   f(x) + (1/pi) int k / (k^2 + (x - t)^2) f(t) dt = 1 on -1..1, k = 2 h / a;  C = (a/pi) int f;
///   R = rho / (4 pi C).
double love_ohm(double rho_ohm_m, double radius_m, double depth_m) {
  using Rule = boost::math::quadrature::gauss<double, 60>;
  std::vector<double> nodes;
  std::vector<double> weights;
  for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
    for (const double sign : {-1.0, 1.0}) {
      nodes.push_back(sign * Rule::abscissa()[i]);
      weights.push_back(Rule::weights()[i]);
    }
  }
  const double k = 2.0 * depth_m / radius_m;
  const auto count = static_cast<Eigen::Index>(nodes.size());
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Identity(count, count);
  for (Eigen::Index i = 0; i < count; ++i) {
    for (Eigen::Index j = 0; j < count; ++j) {
      const double step = nodes[static_cast<std::size_t>(i)] - nodes[static_cast<std::size_t>(j)];
      matrix(i, j) += weights[static_cast<std::size_t>(j)] * k / (pi * (k * k + step * step));
    }
  }
  const Eigen::VectorXd f = matrix.partialPivLu().solve(Eigen::VectorXd::Ones(count));
  double integral = 0.0;
  for (Eigen::Index i = 0; i < count; ++i)
    integral += weights[static_cast<std::size_t>(i)] * f(i);
  return rho_ohm_m / (4.0 * radius_m * integral);
}

void check(const LayeredSoil& soil, const Plate& plate, double expected_ohm) {
  const PlateResistance found = plate_resistance(soil, plate);
  UNSCOPED_INFO("difference " << found.resistance_ohm / expected_ohm - 1.0);
  CHECK(found.resistance_ohm == Approx(expected_ohm).epsilon(1e-3));
  CHECK(std::abs(found.resistance_ohm / expected_ohm - 1.0) <= 2.0 * found.error_ratio);
  CHECK(found.status == PlateStatus::converged);
}

}  // namespace

TEST_CASE("a square plate on the surface") {
  // capacitance of the unit square 0.36679 (times 4 pi epsilon): numerical value of the literature, from
  // memory; its last figure is worth 3e-5
  check(LayeredSoil(100.0), RectangularPlate{1.0, 1.0, 0.0, horizontal}, 100.0 / (2.0 * pi * 0.36679));
}

TEST_CASE("half a square plate standing at the surface is a whole one far from everything") {
  // plate 1 m x 0.5 m upright, its upper edge at the surface: with its image a unit square in full space
  check(LayeredSoil(100.0), RectangularPlate{1.0, 0.5, 0.25, vertical}, 100.0 / (2.0 * pi * 0.36679));
}

TEST_CASE("discs on the surface and deep down") {
  // rho/(4 a) and, far from the surface, rho/(8 a) + rho/(4 pi 2 h): potential theory
  check(LayeredSoil(100.0), CircularPlate{2.0, 0.0, horizontal}, 25.0);
  check(LayeredSoil(100.0), CircularPlate{2.0, 1000.0, horizontal}, 12.5 + 100.0 / (8.0 * pi * 1000.0));
  check(LayeredSoil(100.0), CircularPlate{2.0, 1000.0, vertical}, 12.5 + 100.0 / (8.0 * pi * 1000.0));
}

TEST_CASE("horizontal discs at depth agree with Love's integral equation") {
  for (const double depth_m : {0.25, 0.5, 1.0, 2.0, 5.0})
    check(LayeredSoil(100.0), CircularPlate{2.0, depth_m, horizontal}, love_ohm(100.0, 1.0, depth_m));
}

TEST_CASE("Love's equation solved here repeats values computed elsewhere") {
  // computed for this project by a program that shares no code with the library; none is published
  CHECK(love_ohm(100.0, 1.0, 0.5) == Approx(18.08431).epsilon(2e-5));
  CHECK(love_ohm(100.0, 1.0, 2.0) == Approx(14.41379).epsilon(2e-5));
}

TEST_CASE(
    "a horizontal disc on the boundary of two layers, far from the surface, sees their mean conductivity") {
  // by symmetry the field of the disc is that of a uniform medium: R = 1 / (4 a (s1 + s2)). The surface, 500 m
  // above, adds the images of a point source on the boundary, by the image series of two layers:
  //   1 / (2 pi (s1 + s2)) (1 + K) sum of K^n / (2 (n + 1) h) = ... (1 + K) (-ln(1 - K) / K) / (2 h)
  const double rho1 = 100.0;
  const double rho2 = 300.0;
  const double depth_m = 500.0;
  const double conductivity = 1.0 / rho1 + 1.0 / rho2;
  const double k = (rho2 - rho1) / (rho2 + rho1);
  const LayeredSoil soil({{rho1, depth_m}, {rho2, inf}});
  const double far_ohm =
      1.0 / (2.0 * pi * conductivity) * (1.0 + k) * -std::log(1.0 - k) / k / (2.0 * depth_m);
  check(soil, CircularPlate{2.0, depth_m, horizontal}, 1.0 / (4.0 * conductivity) + far_ohm);
}

TEST_CASE("layers that differ in nothing are uniform soil to a plate") {
  const LayeredSoil cut({{100.0, 0.4}, {100.0, 0.9}, {100.0, inf}});
  for (const Plate& plate :
       {Plate{RectangularPlate{1.2, 0.6, 0.5, vertical}}, Plate{CircularPlate{1.0, 0.6, vertical}},
        Plate{RectangularPlate{1.2, 0.6, 0.5, horizontal}}, Plate{CircularPlate{1.0, 0.6, horizontal}}})
    check(cut, plate, plate_resistance(LayeredSoil(100.0), plate).resistance_ohm);
}

TEST_CASE("the closed forms of discs hold where they should") {
  for (const double depth_m : {2.0, 5.0}) {
    const double exact_ohm = love_ohm(100.0, 1.0, depth_m);
    CHECK(100.0 * horizontal_disc_series_per_m({1.0, depth_m}) == Approx(exact_ohm).epsilon(2e-3));
    CHECK(100.0 * equilibrium_disc_series_per_m({1.0, depth_m}) == Approx(exact_ohm).epsilon(2e-3));
    const double upright_ohm =
        plate_resistance(LayeredSoil(100.0), CircularPlate{2.0, depth_m, vertical}).resistance_ohm;
    CHECK(100.0 * vertical_disc_series_per_m({1.0, depth_m}) == Approx(upright_ohm).epsilon(5e-3));
  }
  for (const double depth_m : {0.1, 0.25, 0.5, 1.0, 2.0, 5.0})
    CHECK(100.0 * plate_factor_at_depth_per_m({pi, depth_m}) ==
          Approx(love_ohm(100.0, 1.0, depth_m)).epsilon(0.014));
  CHECK(plate_factor_on_surface_per_m(pi) ==
        Approx(half_ellipsoid_factor_per_m({1.0, 1.0, 1e-6})).epsilon(1e-5));
}

TEST_CASE("plates that cannot be are refused") {
  const LayeredSoil soil(100.0);
  CHECK_THROWS_AS(plate_resistance(soil, RectangularPlate{1.0, 1.0, 0.4, vertical}), DomainError);
  CHECK_THROWS_AS(plate_resistance(soil, CircularPlate{1.0, 0.4, vertical}), DomainError);
  CHECK_THROWS_AS(plate_resistance(soil, RectangularPlate{1.0, 1.0, -0.1, horizontal}), DomainError);
  CHECK_THROWS_AS(plate_resistance(soil, RectangularPlate{1.0, 0.001, 0.5, horizontal}), DomainError);
  CHECK_THROWS_AS(plate_resistance(soil, CircularPlate{0.0, 0.5, horizontal}), DomainError);
  CHECK_THROWS_AS(horizontal_disc_series_per_m({1.0, 0.5}), DomainError);
}
