// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/electrode/formula.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <electrode/equipotential.hpp>
#include <limits>
#include <random>
#include <vector>

using namespace ohmroot;
using namespace ohmroot::electrode;

TEST_CASE("the half ellipsoid agrees with bodies of classical potential theory") {
  const auto ohm = [](double along, double across, double down) {
    return 100.0 * half_ellipsoid_factor_per_m({along, across, down});
  };
  CHECK(ohm(0.5, 0.5, 0.5) == Approx(31.83098862).epsilon(1e-9));  // hemisphere, rho / (2 pi a)
  CHECK(ohm(1.0, 0.5, 0.25) == Approx(28.1672265).epsilon(1e-7));  // three different axes
  CHECK(ohm(2.0, 1.0, 0.5) == Approx(14.0836132).epsilon(1e-7));
  CHECK(ohm(0.008, 0.008, 2.4) == Approx(42.4211746).epsilon(1e-8));  // prolate, artanh
  CHECK(ohm(0.1, 0.1, 1.0) == Approx(47.8786157).epsilon(1e-8));
  CHECK(ohm(0.5, 0.5, 1.0) == Approx(24.2025648).epsilon(1e-8));
  CHECK(ohm(1.0, 1.0, 0.5) == Approx(19.245009).epsilon(1e-8));  // oblate, arccos
  CHECK(ohm(1.0, 1.0, 0.1) == Approx(23.5237).epsilon(1e-6));
  CHECK(ohm(1.0, 1.0, 1e-6) == Approx(25.0).epsilon(1e-5));        // disc on the surface, rho / (4 a)
  CHECK(ohm(1.0, 0.5, 1e-6) == Approx(34.3220125).epsilon(1e-5));  // elliptic disc
  CHECK(ohm(1.0, 0.2, 1e-6) == Approx(48.0029212).epsilon(1e-5));
}

TEST_CASE("which axis points down does not matter to the half ellipsoid") {
  const double one = half_ellipsoid_factor_per_m({1.0, 0.5, 0.25});
  CHECK(half_ellipsoid_factor_per_m({0.25, 1.0, 0.5}) == Approx(one).epsilon(1e-12));
  CHECK(half_ellipsoid_factor_per_m({0.5, 0.25, 1.0}) == Approx(one).epsilon(1e-12));
}

TEST_CASE("the enclosing ellipsoid passes through the lower corners of the block") {
  // By hand for a block whose half-sides and depth are all 1 m: hemisphere of radius sqrt(3) m.
  CHECK(ellipsoid_floor_bound_per_m({2.0, 2.0, 1.0}) ==
        Approx(1.0 / (2.0 * M_PI * std::sqrt(3.0))).epsilon(1e-12));
  // A metal block filling the volume has a higher resistance than its floor: 1 m x 1 m x 0.5 m in 100 ohm m
  // is 24.089633 ohm (unit cube 0.6606782: Hwang and Mascagni, J. Appl. Phys. 95 (2004) 3798, read).
  const double floor_ohm = 100.0 * ellipsoid_floor_bound_per_m({1.0, 1.0, 0.5});
  CHECK(floor_ohm == Approx(18.3776).epsilon(1e-5));
  CHECK(floor_ohm < 24.089633);
}

TEST_CASE("more land or more depth lowers the floor, and scale divides it") {
  const double small = ellipsoid_floor_bound_per_m({10.0, 6.0, 2.4});
  CHECK(ellipsoid_floor_bound_per_m({12.0, 6.0, 2.4}) < small);
  CHECK(ellipsoid_floor_bound_per_m({10.0, 7.0, 2.4}) < small);
  CHECK(ellipsoid_floor_bound_per_m({10.0, 6.0, 3.0}) < small);
  CHECK(ellipsoid_floor_bound_per_m({6.0, 10.0, 2.4}) == Approx(small).epsilon(1e-12));
  CHECK(ellipsoid_floor_bound_per_m({20.0, 12.0, 4.8}) == Approx(small / 2.0).epsilon(1e-12));
}

TEST_CASE("the floor lies below the computed resistance of electrodes inside the volume") {
  // Equipotential solutions by other programs, 100 ohm m.
  const double floor_ohm = 100.0 * ellipsoid_floor_bound_per_m({9.7, 9.7, 2.4});  // 4 per side, 2.4 m rods
  CHECK(floor_ohm < 6.0538);                                                   // the rods round its boundary
  CHECK(100.0 * ellipsoid_floor_bound_per_m({0.016, 0.016, 2.4}) < 39.99116);  // one rod in its own place
  CHECK(100.0 * ellipsoid_floor_bound_per_m({21.6, 0.016, 2.4}) < 6.2611);     // 10 rods in line
  CHECK(100.0 * ellipsoid_floor_bound_per_m({20.0, 0.008, 0.604}) < 8.5116);   // round conductor
  CHECK(100.0 * ellipsoid_floor_bound_per_m({5.008, 5.008, 0.504}) < 11.646);  // ring
}

TEST_CASE("no arrangement inside the volume beats the floor, by any default formula or by the field") {
  std::mt19937_64 random(3798);
  const auto pick = [&](double least, double greatest) {
    return std::exp(std::uniform_real_distribution(std::log(least), std::log(greatest))(random));
  };
  for (int trial = 0; trial < 1000; ++trial) {
    const ReachableVolume volume{pick(1.0, 60.0), pick(1.0, 60.0), pick(0.6, 12.0)};
    const double least_side_m = std::min(volume.length_m, volume.width_m);
    const double floor_per_m = ellipsoid_floor_bound_per_m(volume);
    const Rod rod{volume.depth_m * pick(0.5, 1.0), pick(0.008, 0.05)};
    std::vector<Shape> shapes{rod};
    const double inner_m = least_side_m - rod.diameter_m;
    const int per_side = 2 + trial % 8;
    if (inner_m / (per_side - 1) > 3.0 * rod.diameter_m) {
      shapes.emplace_back(RodSquare{rod, per_side, inner_m / (per_side - 1)});
      shapes.emplace_back(RodLine{rod, per_side, inner_m / (per_side - 1)});
      shapes.emplace_back(RodTriangle{rod, inner_m});
    }
    const double depth_m = std::min(volume.depth_m - 0.05, volume.length_m / 4.0);
    shapes.emplace_back(Tape{volume.length_m, 0.04, depth_m});
    shapes.emplace_back(RoundConductor{volume.length_m, 0.01, depth_m});
    shapes.emplace_back(Ring{least_side_m - 0.01, 0.01, std::min(volume.depth_m - 0.05, least_side_m / 5.0)});
    for (const Shape& shape : shapes) {
      CAPTURE(describe(shape), volume.length_m, volume.width_m, volume.depth_m);
      REQUIRE(greatest_depth_m(shape) <= volume.depth_m * (1.0 + 1e-12));
      // The formula's own error cannot carry it under the floor either, inside its box.
      const FormulaResult result = default_formula(shape);
      REQUIRE(result.geometry_factor_per_m > floor_per_m);
      if (result.is_inside_valid_box) {
        REQUIRE(result.geometry_factor_per_m * result.formula->least_truth_ratio > floor_per_m);
      }
      if (trial % 50 == 0) REQUIRE(equipotential::factor_per_m(shape) > floor_per_m);
    }
  }
}

TEST_CASE("the least count is the first whole number of separate electrodes that could do") {
  CHECK(least_count_bound({40.0, 2.0}) == 20);
  CHECK(least_count_bound({40.0, 1.99}) == 21);
  CHECK(least_count_bound({1.0, 2.0}) == 1);
  CHECK(least_count_bound({2.0, 2.0}) == 1);
  CHECK(least_count_bound({1e-300, 1e300}) == 1);
  CHECK(least_count_bound({1e6, 1.0}) == 1000000);
  CHECK(least_count_bound({0.3, 0.1}) == 3);
  CHECK(least_count_bound({0.1 + 0.2, 0.1}) == 3);  // the last binary digit must not add one
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> any(0.1, 100.0);
  for (int trial = 0; trial < 1000; ++trial) {
    const double one_ohm = any(random);
    const double limit_ohm = any(random);
    const int count = least_count_bound({one_ohm, limit_ohm});
    CHECK(one_ohm / count <= limit_ohm);
    CHECK((count == 1 || one_ohm / (count - 1) > limit_ohm));
  }
}

TEST_CASE("a volume or a question that cannot be gives no number") {
  const double no_number = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(ellipsoid_floor_bound_per_m({0.0, 1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(ellipsoid_floor_bound_per_m({1.0, -1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(ellipsoid_floor_bound_per_m({1.0, 1.0, no_number}), DomainError);
  CHECK_THROWS_AS(ellipsoid_floor_bound_per_m({1.0, 1.0, 2e6}), DomainError);
  CHECK_THROWS_AS(half_ellipsoid_factor_per_m({1.0, 0.0, 1.0}), DomainError);
  CHECK_THROWS_AS(half_ellipsoid_factor_per_m({1.0, 1.0, 1e-7}), DomainError);
  CHECK_THROWS_AS(least_count_bound({0.0, 1.0}), DomainError);
  CHECK_THROWS_AS(least_count_bound({1.0, no_number}), DomainError);
  CHECK_THROWS_AS(least_count_bound({1000001.0, 1.0}), DomainError);
  CHECK_THROWS_AS(least_count_bound({1e300, 1e-300}), DomainError);
}
