// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/electrode/mesh.hpp>

#include <catch2/catch.hpp>

#include <random>

using namespace ohmroot;
using namespace ohmroot::electrode;

TEST_CASE("published mesh formulas give the printed values") {
  // IEEE Std 80-2000, annex B.1 and B.2, from memory: 400 ohm m, 70 m x 70 m, 0.5 m deep.
  CHECK(400.0 * sverak_factor_per_m({1540.0, 4900.0, 0.5}) == Approx(2.78).epsilon(0.0025));
  CHECK(400.0 * sverak_factor_per_m({1690.0, 4900.0, 0.5}) == Approx(2.75).epsilon(0.0025));
  // IEEE Std 80-2000 figure 25, from memory.
  const auto [k1, k2] = combined_coefficients({0.0, 1.0});
  CHECK(k1 == Approx(1.37));
  CHECK(k2 == Approx(5.65));
}

TEST_CASE("a shape of mesh has the size of its conductors") {
  const Mesh mesh{{70.0, 10}, {70.0, 10}, 0.5, 0.005};
  const MeshSize size = size_of(mesh);
  CHECK(size.conductor_length_m == Approx(1540.0));
  CHECK(size.area_m2 == Approx(4900.0));
  CHECK(default_formula(mesh).geometry_factor_per_m == Approx(sverak_factor_per_m(size)));
  double length_m = 0.0;
  for (const Conductor& bar : conductors_of(mesh))
    length_m += std::hypot(bar.to.x_m - bar.from.x_m, bar.to.y_m - bar.from.y_m);
  CHECK(length_m == Approx(1540.0));
}

TEST_CASE("bars from joint to joint are the mesh of crossing bars") {
  const Mesh mesh{{12.0, 3}, {8.0, 2}, 0.6, 0.004};
  const earth::LayeredSoil soil({{300.0, 1.0}, {60.0, 0.0}});
  const double joints_ohm = solve_field(soil, {{"", conductors_of(mesh)}}, {1e-4}).resistance_ohm(0, 0);
  const double crossing_ohm =
      solve_field(soil, {{"", mesh_of(mesh), Crossings::joined}}, {1e-4}).resistance_ohm(0, 0);
  CHECK(joints_ohm == Approx(crossing_ohm).epsilon(2e-4).scale(0));
}

TEST_CASE("the field solution lies in the band that each mesh formula claims in its box") {
  std::mt19937_64 random(20261126);
  const auto between = [&](double from, double to) {
    return from * std::pow(to / from, std::uniform_real_distribution<double>(0.0, 1.0)(random));
  };
  int inside_count = 0;
  for (int i = 0; i < 300; ++i) {
    const double breadth_m = between(1.5, 40.0);
    const double length_m = std::min(60.0, breadth_m * between(1.0, 4.0));
    const int across = std::uniform_int_distribution<int>(1, 8)(random);
    const int along = std::uniform_int_distribution<int>(1, 12)(random);
    const Mesh mesh{{length_m, along},
                    {breadth_m, across},
                    std::min(breadth_m, between(0.25, 2.5)),
                    between(0.003, 0.01)};
    const double truth_per_m =
        solve_field(earth::LayeredSoil(1.0), {{"", conductors_of(mesh)}}, {1e-3}).resistance_ohm(0, 0);
    for (const FormulaResult& result : all_formulas(mesh)) {
      if (!result.is_inside_valid_box) continue;
      ++inside_count;
      CAPTURE(result.formula->id, describe(mesh));
      const double ratio = truth_per_m / result.geometry_factor_per_m;
      CHECK(ratio >= result.formula->least_truth_ratio);
      CHECK(ratio <= result.formula->greatest_truth_ratio);
    }
  }
  CHECK(inside_count > 300);
}

TEST_CASE("a mesh that cannot be is refused by name") {
  CHECK_THROWS_WITH(require_valid(Shape{Mesh{{12.0, 0}, {8.0, 2}, 0.6, 0.004}}),
                    Catch::Contains("along_x.mesh_count"));
  CHECK_THROWS_WITH(require_valid(Shape{Mesh{{12.0, 3}, {8.0, 2}, 9.0, 0.004}}), Catch::Contains("depth_m"));
  CHECK_THROWS_WITH(require_valid(Shape{Mesh{{12.0, 3}, {0.05, 2}, 0.02, 0.004}}),
                    Catch::Contains("along_y.length_m"));
  CHECK_THROWS_AS(sverak_factor_per_m({-1.0, 10.0, 0.5}), DomainError);
}
