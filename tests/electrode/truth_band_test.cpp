// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/formula.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <electrode/equipotential.hpp>
#include <random>
#include <string_view>
#include <vector>

using namespace ohmroot::electrode;

namespace {

constexpr Rod usual_rod{2.4, 0.016};

/// A computed value in 100 ohm m [ohm].
struct Computed {
  Shape shape;
  double ohm;
  double tolerance_ratio;
};

// Equipotential solutions by other programs, accuracy as given: thin-wire Galerkin (0.2 to 0.4 %),
// exact-kernel cylinder (0.1 %), axisymmetric boundary elements of the solid bar (1e-7).
const std::vector<Computed> computed_elsewhere{
    {Rod{1.2, 0.0125}, 74.0038, 0.001},
    {Rod{2.4, 0.016}, 39.99116, 0.0005},
    {Rod{3.0, 0.016}, 33.201, 0.001},
    {RodLine{usual_rod, 3, 3.0}, 15.909532, 0.001},
    {RodLine{usual_rod, 2, 1.2}, 24.266, 0.004},
    {RodLine{usual_rod, 2, 2.4}, 22.7, 0.004},
    {RodLine{usual_rod, 2, 4.8}, 21.536, 0.004},
    {RodLine{usual_rod, 2, 9.6}, 20.807, 0.004},
    {RodLine{usual_rod, 3, 2.4}, 16.423, 0.004},
    {RodLine{usual_rod, 5, 2.4}, 10.926, 0.004},
    {RodLine{usual_rod, 10, 2.4}, 6.2611, 0.004},
    {RodLine{usual_rod, 3, 4.8}, 15.072, 0.004},
    {RodLine{usual_rod, 5, 4.8}, 9.6169, 0.004},
    {RodLine{usual_rod, 10, 4.8}, 5.2253, 0.004},
    {RodTriangle{usual_rod, 2.4}, 16.944, 0.004},
    {RodTriangle{usual_rod, 4.8}, 15.393, 0.004},
    {RodSquare{usual_rod, 2, 2.4}, 13.746, 0.004},
    {RodSquare{usual_rod, 3, 2.4}, 8.2792, 0.004},
    {RodSquare{usual_rod, 4, 2.4}, 6.0538, 0.004},
    {RodSquare{usual_rod, 3, 4.8}, 6.7953, 0.004},
    {Tape{10.0, 0.025, 0.6}, 14.188546, 0.001},
    {Tape{20.0, 0.025, 0.6}, 8.1506, 0.003},
    {RoundConductor{10.0, 0.008, 0.5}, 15.166, 0.003},
    {RoundConductor{20.0, 0.008, 0.5}, 8.6467, 0.003},
    {RoundConductor{20.0, 0.008, 0.6}, 8.5116, 0.003},
    {Ring{5.0, 0.008, 0.5}, 11.646, 0.002},
    {Ring{10.0, 0.008, 0.5}, 6.5321, 0.002},
    {Ring{4.0, 0.008, 0.6}, 13.741656, 0.0001},
};

/// Every formula of the shape inside its box keeps its promise for this truth.
void check_bands(const Shape& shape, double truth_per_m) {
  for (const FormulaResult& result : all_formulas(shape)) {
    if (!result.is_inside_valid_box) continue;
    CAPTURE(describe(shape), result.formula->id);
    const double ratio = truth_per_m / result.geometry_factor_per_m;
    CHECK(ratio >= result.formula->least_truth_ratio);
    CHECK(ratio <= result.formula->greatest_truth_ratio);
  }
}

}  // namespace

TEST_CASE("the truth used here agrees with equipotential solutions of other programs") {
  for (const Computed& row : computed_elsewhere) {
    CAPTURE(describe(row.shape));
    CHECK(100.0 * equipotential::factor_per_m(row.shape) == Approx(row.ohm).epsilon(row.tolerance_ratio));
  }
}

TEST_CASE("every formula's error band holds the equipotential solutions of other programs") {
  for (const Computed& row : computed_elsewhere)
    check_bands(row.shape, row.ohm / 100.0);
}

TEST_CASE("every formula's error band holds over its whole box") {
  std::mt19937_64 random(1936);
  const auto pick = [&](double least, double greatest) {
    return std::exp(std::uniform_real_distribution(std::log(least), std::log(greatest))(random));
  };
  const auto either = [&](double slimmest,
                          double stoutest) {  // half of them at the ends, where bands are tight
    const double inside = pick(slimmest, stoutest);
    const auto draw = std::uniform_int_distribution(0, 3)(random);
    return draw == 0 ? slimmest : draw == 1 ? stoutest : inside;
  };
  for (int trial = 0; trial < 60; ++trial) {
    const Rod rod{2.4, 2.4 / either(25.0, 5000.0)};
    const double spacing_m = 2.4 * (trial % 3 == 0 ? 1.0 : either(0.5, 20.0));
    const Rod common_rod{2.4, 2.4 / either(75.0, 300.0)};
    const double near_m = 2.4 * either(0.95, 1.05);
    const int few = 2 + trial % 3;
    for (const Shape& shape :
         std::vector<Shape>{rod, RodLine{rod, 2 + trial % 12, spacing_m}, RodTriangle{rod, spacing_m},
                            RodSquare{rod, few, spacing_m}, RodLine{common_rod, few, near_m},
                            RodTriangle{common_rod, near_m}, RodSquare{common_rod, few, near_m}}) {
      check_bands(shape, equipotential::factor_per_m(shape));
    }
    const double tape_width_m = 20.0 / either(50.0, 5000.0);
    const Tape tape{20.0, tape_width_m, std::max(tape_width_m, 20.0 * either(0.001, 0.25))};
    check_bands(tape, equipotential::factor_per_m(tape));
    const double thick_radius_m = equipotential::thick_strip_radius_ratio * tape.width_m;
    const double thick = equipotential::lying_bar_per_m({20.0, thick_radius_m, tape.depth_m, 0.0});
    check_bands(tape, thick);  // an eighth as thick as wide, but not stated
    check_bands(Tape{20.0, tape.width_m, tape.depth_m, tape.width_m / 8.0}, thick);
    const double diameter_m = 20.0 / either(100.0, 10000.0);
    const RoundConductor bar{20.0, diameter_m, std::max(2.0 * diameter_m, 20.0 * either(0.001, 0.25))};
    check_bands(bar, equipotential::factor_per_m(bar));
    const Ring ring{20.0, diameter_m, std::max(2.0 * diameter_m, 20.0 * either(0.001, 1.0))};
    check_bands(ring, equipotential::factor_per_m(ring));
  }
}

TEST_CASE("large groups keep the error band too") {
  for (const Shape& shape : std::vector<Shape>{RodLine{usual_rod, 24, 2.4}, RodLine{{2.4, 0.096}, 100, 1.2},
                                               RodSquare{usual_rod, 7, 2.4}, RodSquare{{2.4, 0.096}, 20, 1.2},
                                               RodSquare{usual_rod, 20, 2.4}}) {
    check_bands(shape, equipotential::factor_per_m(shape));
  }
}

TEST_CASE("26 rods round a rectangle: the chart that a handbook reads is optimistic") {
  // MIL-HDBK-419A (1987) Vol II 1.2.2.2, read: 26 rods 10 ft x 3/4 in, 20 ft apart round 100 ft x 160 ft in
  // 100 ohm m: 32 ohm x 0.055 = 1.76 ohm. An equipotential solution gives 1.937 ohm, and so do we.
  const Rod rod{3.048, 0.01905};
  std::vector<RodPosition> positions;
  for (int i = 0; i < 9; ++i) {
    for (int j = 0; j < 6; ++j) {
      if (i == 0 || i == 8 || j == 0 || j == 5) positions.push_back({i * 6.096, j * 6.096});
    }
  }
  REQUIRE(positions.size() == 26);
  const double truth_ohm = 100.0 * equipotential::rods_per_m(rod, positions, 10);
  const double sum_ohm = 100.0 * equal_current_factor_per_m(rod, positions);
  CHECK(truth_ohm == Approx(1.937).epsilon(0.005));
  CHECK(sum_ohm == Approx(1.937).epsilon(0.012));
  CHECK(sum_ohm > truth_ohm);
  CHECK(1.76 / truth_ohm == Approx(0.91).margin(0.01));
}
