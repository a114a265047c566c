// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/detail/assembly.hpp>
#include <ohmroot/electrode/detail/cholesky.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <Eigen/Dense>
#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>
#include <random>

using namespace ohmroot::electrode;
using field_cases::random_bars;
using field_cases::random_soil;
using field_cases::rod;
using field_cases::rods;
using field_cases::uniform;
using ohmroot::DomainError;
using ohmroot::earth::Layer;
using ohmroot::earth::LayeredSoil;

namespace {

FieldSolution solve_one(const LayeredSoil& soil, const std::vector<Conductor>& conductors,
                        double tolerance = 1e-3) {
  return solve_field(soil, {{"one", conductors, Crossings::joined}}, {tolerance});
}

/// a <= b within both estimates.
void check_not_above(const FieldSolution& a, const FieldSolution& b) {
  const double slack = 2.0 * (a.estimate_ratio() + b.estimate_ratio());
  CHECK(a.resistance_ohm(0, 0) <= b.resistance_ohm(0, 0) * (1.0 + slack));
}

}  // namespace

TEST_CASE("bars meet the computed references at a tolerance of 0.02 %") {
  int honest = 0;
  int count = 0;
  for (const auto& c : field_cases::all()) {
    const double tolerance = c.own_error_ratio < 1e-3 ? 2e-4 : 1e-3;
    const FieldSolution solution = solve_one(c.soil, c.conductors, tolerance);
    const double error = std::abs(solution.resistance_ohm(0, 0) / c.resistance_ohm - 1.0);
    CAPTURE(c.id, error, solution.estimate_ratio(), solution.unknown_count());
    CHECK(solution.status() == FieldStatus::converged);
    CHECK(solution.estimate_ratio() <= tolerance);
    CHECK(error <= (tolerance < 1e-3 ? 5e-4 : 1e-3) + c.own_error_ratio);
    ++count;
    if (error <= 2.0 * solution.estimate_ratio() + c.own_error_ratio) ++honest;
  }
  CHECK(honest >= 0.95 * count);
}

TEST_CASE("the surface potential beside a rod meets its reference") {
  // Derived: axisymmetric boundary elements, 1e-6. Required of potentials: 0.3 % of converged independent values,
  // and an honest estimate, which holds within twice itself.
  const auto solution = solve_field(LayeredSoil(100.0), {{"rod", rods({{0, 0}})}},
                                    {.tolerance_ratio = 2e-4, .place_tolerance_ratio = 1e-3});
  const Duty one_ampere{DutyKind::current, 1.0};
  const Place beside{1.0, 0.0, 0.0};
  const auto state = solution.state({&one_ampere, 1});
  const double error = std::abs(solution.potentials_v(state, {&beside, 1})[0] / 10.421109 - 1.0);
  CHECK(error <= 3e-3);
  CHECK(error <= 2.0 * solution.place_estimate_ratio().value() + 1e-6);
  const Place inside{0.0, 0.004, 1.0};
  CHECK(solution.potentials_v(state, {&inside, 1})[0] == state.potentials_v[0]);
}

TEST_CASE("every element has the mean potential of the electrode") {
  std::mt19937_64 random(41);
  for (int i = 0; i < 10; ++i) {
    const LayeredSoil soil = random_soil(random);
    const std::vector<Electrode> electrodes{{"bars", random_bars(random)}};
    const ohmroot::earth::ImageKernel kernel(soil, 10.0);
    const auto pieces = detail::make_pieces(electrodes, kernel);
    const Eigen::MatrixXd lower =
        detail::influence_matrix(kernel, pieces, detail::no_symmetry(pieces.size()));
    const Eigen::MatrixXd matrix = lower.selfadjointView<Eigen::Lower>();
    Eigen::MatrixXd factor = matrix;
    Eigen::MatrixXd currents = Eigen::VectorXd::Ones(matrix.rows());
    CHECK(Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(matrix).eigenvalues().minCoeff() > 0.0);
    REQUIRE(detail::solve_positive_definite(factor, currents));
    CHECK((matrix * currents - Eigen::VectorXd::Ones(matrix.rows())).cwiseAbs().maxCoeff() < 1e-10);
  }
}

TEST_CASE("blocks are the same seen from either side") {
  // The upper triangle is never computed: the lower one of the pieces in reverse order must be it.
  std::mt19937_64 random(42);
  for (int i = 0; i < 10; ++i) {
    const LayeredSoil soil = random_soil(random);
    const ohmroot::earth::ImageKernel kernel(soil, 10.0);
    auto pieces = detail::make_pieces({{"bars", random_bars(random)}}, kernel);
    const Eigen::MatrixXd lower =
        detail::influence_matrix(kernel, pieces, detail::no_symmetry(pieces.size()));
    for (auto& piece : pieces)  // elements in reverse as well
      piece = [&] {
        auto turned = piece;
        turned.start = piece.at(piece.length_m());
        turned.direction = -piece.direction;
        for (std::size_t k = 0; k < piece.breaks_m.size(); ++k)
          turned.breaks_m[k] = piece.length_m() - piece.breaks_m[piece.breaks_m.size() - 1 - k];
        turned.breaks_m.front() = 0.0;
        return turned;
      }();
    std::reverse(pieces.begin(), pieces.end());
    const Eigen::MatrixXd other =
        detail::influence_matrix(kernel, pieces, detail::no_symmetry(pieces.size()));
    // Either triangle is used alone, so the matrix solved is symmetric; what the rule of the means leaves of
    // difference between them may cost a resistance a tenth of the tightest tolerance asked, 0.02 %.
    const auto resistance_ohm = [](const Eigen::MatrixXd& triangle) {
      const Eigen::MatrixXd matrix = triangle.selfadjointView<Eigen::Lower>();
      return 1.0 / matrix.llt().solve(Eigen::VectorXd::Ones(matrix.rows())).sum();
    };
    CHECK(resistance_ohm(other) == Approx(resistance_ohm(lower)).epsilon(2e-5).scale(0));
  }
}

TEST_CASE("currents of the elements sum to the electrode's") {
  std::mt19937_64 random(43);
  for (int i = 0; i < 10; ++i) {
    const auto bars = random_bars(random);
    const auto solution = solve_one(random_soil(random), bars);
    const Duty one_ampere{DutyKind::current, 1.0};
    const auto state = solution.state({&one_ampere, 1});
    double sum = 0.0;
    for (const auto& leakage : solution.leakage(state))
      sum += leakage.current_a;
    CHECK(sum == Approx(1.0).epsilon(1e-10));
    sum = 0.0;
    for (const auto& share : solution.conductor_currents(state))
      sum += share.current_a;
    CHECK(sum == Approx(1.0).epsilon(1e-10));
    const auto spread = solution.potential_spread(state, 0);
    CHECK(spread.least_ratio > 0.8);
    CHECK(spread.greatest_ratio < 1.2);
  }
}

TEST_CASE("more metal never raises the resistance") {
  std::mt19937_64 random(44);
  for (int i = 0; i < 10; ++i) {
    const LayeredSoil soil = random_soil(random);
    auto bars = random_bars(random);
    const auto before = solve_one(soil, bars);
    bars.push_back(rod(uniform(random, -5.0, -1.0), 0.0, 0.0, uniform(random, 1.0, 3.0), 0.008));
    check_not_above(solve_one(soil, bars), before);
  }
}

TEST_CASE("a layer cut in two changes nothing beyond the estimates") {
  std::mt19937_64 random(45);
  for (int i = 0; i < 10; ++i) {
    const auto bars = random_bars(random);
    const LayeredSoil soil({{200.0, 1.3}, {50.0, 2.0}, {400.0, 0.0}});
    const LayeredSoil cut({{200.0, 0.6}, {200.0, 0.7}, {50.0, 2.0}, {400.0, 3.0}, {400.0, 0.0}});
    check_not_above(solve_one(soil, bars), solve_one(cut, bars));
    check_not_above(solve_one(cut, bars), solve_one(soil, bars));
  }
}

TEST_CASE("resistance is not below that of a hemisphere that holds the bars") {
  // Capacitance grows with the body (monotone under inclusion); hemisphere rho / (2 pi a).
  std::mt19937_64 random(46);
  for (int i = 0; i < 10; ++i) {
    const double length = uniform(random, 0.5, 3.0);
    const double spacing = uniform(random, 0.3, 1.0);
    const double reach = std::hypot(length, spacing);
    const auto solution = solve_one(LayeredSoil(100.0), rods({{-spacing, 0}, {spacing, 0}}, length));
    CHECK(solution.resistance_ohm(0, 0) > 100.0 / (2.0 * std::numbers::pi * reach));
  }
}

TEST_CASE("resistance scales with resistivity and inversely with size") {
  const LayeredSoil soil({{120.0, 1.0}, {30.0, 0.0}});
  const LayeredSoil threefold({{360.0, 1.0}, {90.0, 0.0}});
  const LayeredSoil deeper({{120.0, 2.0}, {30.0, 0.0}});
  const double resistance = solve_one(soil, {rod(0, 0, 0.2, 2.0, 0.01)}).resistance_ohm(0, 0);
  CHECK(solve_one(threefold, {rod(0, 0, 0.2, 2.0, 0.01)}).resistance_ohm(0, 0) == Approx(3.0 * resistance));
  CHECK(solve_one(deeper, {rod(0, 0, 0.4, 4.0, 0.02)}).resistance_ohm(0, 0) == Approx(0.5 * resistance));
}

TEST_CASE("two equal electrodes far apart have half the resistance of one") {
  const LayeredSoil soil(100.0);
  const double one = solve_one(soil, rods({{0, 0}})).resistance_ohm(0, 0);
  const double two = solve_one(soil, rods({{0, 0}, {2e4, 0}})).resistance_ohm(0, 0);
  CHECK(two == Approx(one / 2.0).epsilon(1e-4));
}

TEST_CASE("conductances of separate electrodes add at most") {
  std::mt19937_64 random(47);
  for (int i = 0; i < 8; ++i) {
    const LayeredSoil soil = random_soil(random);
    const auto bars = random_bars(random);
    double sum = 0.0;
    for (const Conductor& bar : bars)
      sum += 1.0 / solve_one(soil, {bar}).resistance_ohm(0, 0);
    CHECK(1.0 / solve_one(soil, bars).resistance_ohm(0, 0) <= sum * (1.0 + 4e-3));
  }
}

TEST_CASE("joining separate electrodes gives the resistance of the joined one") {
  const LayeredSoil soil({{100.0, 1.0}, {300.0, 0.0}});
  const auto separate =
      solve_field(soil, {{"a", rods({{0, 0}})}, {"b", rods({{2, 0}})}, {"c", rods({{7, 1}}, 1.5)}}, {2e-4});
  const auto joined =
      solve_one(soil, {rod(0, 0, 0, 2.4, 0.008), rod(2, 0, 0, 2.4, 0.008), rod(7, 1, 0, 1.5, 0.008)}, 2e-4);
  const std::vector<Duty> held(3, {DutyKind::potential, 1.0});
  const auto state = separate.state(held);
  const double current = state.currents_a[0] + state.currents_a[1] + state.currents_a[2];
  CHECK(1.0 / current == Approx(joined.resistance_ohm(0, 0)).epsilon(4e-4).scale(0));
  CHECK(separate.resistance_ohm(0, 2) == Approx(separate.resistance_ohm(2, 0)).epsilon(1e-12));
}

TEST_CASE("buried metal that floats takes the potential carried over to it") {
  // Far apart a rod takes the potential of the other at its place: mean of rho I / (2 pi r) by symmetry.
  const LayeredSoil soil(100.0);
  const auto solution =
      solve_field(soil, {{"rod", rods({{0, 0}})}, {"pipe", {{{80, -1, 0.5}, {80, 1, 0.5}, 0.02}}}});
  const auto state = solution.state(std::vector<Duty>{{DutyKind::current, 10.0}, {DutyKind::floating}});
  CHECK(state.potentials_v[1] == Approx(10.0 * 100.0 / (2.0 * std::numbers::pi * 80.0)).epsilon(1e-3));
  CHECK(state.currents_a[1] == 0.0);
  CHECK(state.potentials_v[1] == Approx(10.0 * solution.resistance_ohm(1, 0)));
  double net = 0.0;
  double passing = 0.0;
  for (const auto& leakage : solution.leakage(state))
    if (leakage.electrode == 1) {
      net += leakage.current_a;
      passing += std::abs(leakage.current_a);
    }
  CHECK(std::abs(net) < 1e-9);
  CHECK(passing > 1e-6);
}

TEST_CASE("an insulated stretch carries no current and raises the resistance") {
  const LayeredSoil soil(100.0);
  const Conductor lead{{0, 0, 0}, {0, 0, 0.8}, 0.008, Coating::insulated};
  const Conductor tip = rod(0, 0, 0.8, 1.6, 0.008);
  const auto part = solve_one(soil, {lead, tip}, 2e-4);
  const double whole = solve_one(soil, rods({{0, 0}}), 2e-4).resistance_ohm(0, 0);
  const double alone = solve_one(soil, {tip}, 2e-4).resistance_ohm(0, 0);
  CHECK(part.resistance_ohm(0, 0) > 1.2 * whole);
  CHECK(part.resistance_ohm(0, 0) == Approx(alone).epsilon(2e-3));  // but for the covered flat end
  const Duty one_ampere{DutyKind::current, 1.0};
  for (const auto& share : part.conductor_currents(part.state({&one_ampere, 1})))
    CHECK(share.conductor == 1);
}

TEST_CASE("a bar in two parts is the bar") {
  const auto whole = solve_one(LayeredSoil(100.0), rods({{0, 0}}), 2e-4);
  const auto parts =
      solve_one(LayeredSoil(100.0), {rod(0, 0, 0, 1.0, 0.008), rod(0, 0, 1.0, 1.4, 0.008)}, 2e-4);
  CHECK(parts.resistance_ohm(0, 0) == Approx(whole.resistance_ohm(0, 0)).epsilon(2e-4).scale(0));
}

TEST_CASE("a ring has the resistance of a torus of even leakage") {
  // Thin ring: by symmetry its leakage is even; (rho / 2 pi^2 D) (ln 8D/d + k K(k)), derived.
  for (const double diameter : {2.0, 10.0, 30.0}) {
    const Ring ring{diameter, 0.008, 0.6};
    const double k = diameter / std::hypot(diameter, 2.0 * ring.depth_m);
    const double truth = 100.0 / (2.0 * std::numbers::pi * std::numbers::pi * diameter) *
                         (std::log(8.0 * diameter / 0.008) + k * std::comp_ellint_1(k));
    CHECK(solve_one(LayeredSoil(100.0), ring_of(ring, {1.0, 2.0})).resistance_ohm(0, 0) ==
          Approx(truth).epsilon(3e-4).scale(0));
  }
}

TEST_CASE("both ways to factor a matrix give the same solution") {
  std::mt19937_64 random(48);
  Eigen::MatrixXd a(70, 70);
  for (Eigen::Index i = 0; i < a.size(); ++i)
    a.data()[i] = uniform(random, -1.0, 1.0);
  const Eigen::MatrixXd matrix = a * a.transpose() + Eigen::MatrixXd::Identity(70, 70);
  const Eigen::MatrixXd right = a.leftCols(3);
  Eigen::MatrixXd factor = matrix;
  Eigen::MatrixXd x = right;
  REQUIRE(detail::solve_positive_definite(factor, x));
  CHECK((matrix * x - right).norm() < 1e-11);
  CHECK((matrix.llt().solve(right) - x).norm() < 1e-11);
  Eigen::MatrixXd indefinite = -matrix;
  CHECK_FALSE(detail::solve_positive_definite(indefinite, x));
}

TEST_CASE("bad geometry is refused with its name") {
  const LayeredSoil soil(100.0);
  const auto refused = [&](const std::vector<Conductor>& bars) {
    CHECK_THROWS_AS(solve_field(soil, {{"bad", bars}}), DomainError);
  };
  refused({});
  refused({{{0, 0, 0.5}, {0, 0, 0.5}, 0.008}});                                     // no length
  refused({{{0, 0, 0.5}, {0, 0, 0.51}, 0.008}});                                    // stouter than long
  refused({{{0, 0, -0.5}, {0, 0, 1.0}, 0.008}});                                    // above ground
  refused({{{0, 0, 0.0}, {2, 0, 0.0}, 0.008}});                                     // half out of the ground
  refused({{{0, 0, 0.0}, {0, 0, 1.0}, -0.008}});                                    // negative radius
  refused({{{0, 0, 0.0}, {0, std::nan(""), 1.0}, 0.008}});                          // not a number
  refused({rod(0, 0, 0, 2.4, 0.008), rod(0, 0, 0, 2.4, 0.008)});                    // twice the same
  refused({rod(0, 0, 0, 2.4, 0.008), rod(0.01, 0, 0, 2.4, 0.008)});                 // one in the other
  refused({{{0, 0, 0.5}, {5, 0, 0.5}, 0.004}, {{4, 0, 0.5}, {9, 0, 0.5}, 0.004}});  // overlapping
  refused({{{0, 0, 0.5}, {5, 0, 0.5}, 0.004, Coating::insulated}});                 // no bare metal
  const std::vector<Conductor> cross{{{0, 0, 0.5}, {5, 0, 0.5}, 0.004}, {{2, -1, 0.5}, {2, 1, 0.503}, 0.004}};
  CHECK_THROWS_WITH(solve_field(soil, {{"bad", cross}}), Catch::Contains("conductors[0] (bad)") &&
                                                             Catch::Contains("crossing") &&
                                                             Catch::Contains("joined"));
  CHECK_NOTHROW(solve_field(soil, {{"mesh", cross, Crossings::joined}}));
  CHECK_NOTHROW(solve_field(soil, {{"tee", {cross[0], {{2, 0, 0.5}, {2, 1, 0.5}, 0.004}}}}));
  CHECK_NOTHROW(solve_field(soil, {{"apart", {cross[0], {{2, -1, 0.6}, {2, 1, 0.6}, 0.004}}}}));
  CHECK_THROWS_AS(solve_field(soil, {}), DomainError);
  CHECK_THROWS_AS(solve_field(soil, {{"a", {{{0, 0, 0.5}, {5, 0, 0.5}, 0.004}}},
                                     {"b", {{{2, -1, 0.5}, {2, 1, 0.5}, 0.004}}}}),
                  DomainError);
  CHECK_THROWS_AS(solve_field(soil, {{"a", rods({{0, 0}})}}, {0.0}), DomainError);
  CHECK_THROWS_WITH(
      solve_field(soil, {{"mesh", mesh_of({{100, 40}, {100, 40}, 0.5, 0.005}), Crossings::joined}}),
      Catch::Contains("elements") && Catch::Contains("at most 10000"));
}

TEST_CASE("a tolerance out of reach is said so, with the estimate that was reached") {
  const auto solution = solve_field(LayeredSoil(100.0), {{"a", rods({{0, 0}, {3, 0}})}}, {1e-5, 60});
  CHECK(solution.status() == FieldStatus::coarse);
  CHECK_FALSE(solution.remark().empty());
  CHECK(solution.estimate_ratio() > 1e-5);
  const auto near = solve_field(LayeredSoil(100.0), {{"a", rods({{0, 0}, {0.05, 0}})}}, {2e-4});
  CHECK(near.status() == FieldStatus::coarse);
}

TEST_CASE("a rod that ends within its radius of a better layer is left where finer elements bring nothing",
          "[field]") {
  // Longer rods have less resistance (a longer body of metal encloses the shorter), and its loss slows down with length.
  // Divided over and over, to 308 elements, the last of these came out at 14.607 ohm, below the line.
  const LayeredSoil soil(
      {{30.12, 2.2341}, {2560.0, 0.73453}, {9.78, std::numeric_limits<double>::infinity()}});
  const auto rod_of = [&](double length_m) {
    return solve_field(soil, {{"rod", {{{0.0, 0.0, 0.0}, {0.0, 0.0, length_m}, 0.008}}}});
  };
  const FieldSolution rod = rod_of(2.9745);
  CHECK(rod.unknown_count() < 100);
  CHECK(rod.estimate_ratio() < 3e-3);
  const double shorter_ohm = rod_of(2.970).resistance_ohm(0, 0);
  const double longer_ohm = rod_of(2.980).resistance_ohm(0, 0);
  const double still_longer_ohm = rod_of(2.985).resistance_ohm(0, 0);
  CHECK(rod.resistance_ohm(0, 0) < std::lerp(shorter_ohm, longer_ohm, 0.45));
  CHECK(rod.resistance_ohm(0, 0) > longer_ohm + 0.0055 / 0.005 * (longer_ohm - still_longer_ohm));
}
