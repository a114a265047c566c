// SPDX-License-Identifier: MIT
// The superposition by which tests are judged, against the field solution of electrode, current stake and metal
// together.
#include "sample_test.hpp"

#include <ohmroot/acceptance/detail/stake_model.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>

#include <catch2/catch.hpp>

#include <limits>
#include <utility>

using namespace test;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

constexpr double endless_m = std::numeric_limits<double>::infinity();

electrode::Electrode three_rods() {
  electrode::Electrode metal{"three rods", {}};
  for (const double x_m : {0.0, 3.0, 6.0})
    metal.conductors.push_back({{x_m, 0.0, 0.0}, {x_m, 0.0, 3.0}, 0.008});
  return metal;
}

}  // namespace

TEST_CASE("readings by superposition are those of the whole field solution", "[acceptance]") {
  const electrode::Electrode metal = three_rods();
  const electrode::SurfacePlace middle = detail::middle_of(metal);
  CHECK(middle.x_m == 3.0);
  for (const auto& layers : {std::vector<earth::Layer>{{100.0, endless_m}},
                             std::vector<earth::Layer>{{50.0, 1.5}, {500.0, endless_m}},
                             std::vector<earth::Layer>{{400.0, 1.0}, {60.0, 4.0}, {1000.0, endless_m}}}) {
    const earth::LayeredSoil soil(layers);
    const detail::StakeModel model(soil, metal, middle, 60.0);
    for (const double current_m : {20.0, 50.0}) {
      for (const double between_deg : {0.0, 40.0}) {
        const electrode::FallOfPotential whole(soil, metal, {}, {middle, 60.0, current_m, between_deg});
        CHECK(model.resistance_ohm() == Approx(whole.resistance_ohm()).epsilon(3e-3));
        for (const double share : {0.3, 0.5, 0.62, 0.8}) {
          // 3e-3: tolerance of the field solutions; 1e-2 of R besides for the stake taken as a point of the surface
          const double by_model_ohm = model.reading_ohm({current_m, share * current_m, between_deg});
          CHECK(std::abs(by_model_ohm - whole.reading_ohm(share * current_m)) <
                1e-2 * whole.resistance_ohm());
        }
      }
    }
  }
}

TEST_CASE("pipes beside the line that are connected to nothing move a rod's reading by little, and the "
          "interval holds it",
          "[acceptance]") {
  // exact: a bare pipe 0.4 m beside the line, from beside the rod, from the middle, all the way to the current stake
  const earth::LayeredSoil soil(100.0);
  for (const auto& [from_m, to_m] : {std::pair{1.0, 25.0}, std::pair{10.0, 38.0}, std::pair{0.5, 39.5}}) {
    const electrode::Electrode pipe{"pipe", {{{-0.4, from_m, 0.5}, {-0.4, to_m, 0.5}, 0.05}}};
    const electrode::FallOfPotential whole(soil, rod, {{pipe, electrode::Connection::floating}},
                                           {{0.0, 0.0}, 90.0, 40.0});
    StakeTest test;
    test.safe_working = all_safe();
    for (const double share : {0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9})
      test.readings.push_back({40.0, 40.0 * share, whole.reading_ohm(40.0 * share)});
    const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
    REQUIRE(result.resistance_ohm);
    CHECK(result.resistance_ohm->least < whole.resistance_ohm());
    CHECK(result.resistance_ohm->greatest > whole.resistance_ohm());
  }
}

TEST_CASE("a pipe joined to the electrode is told by its low reading", "[acceptance]") {
  const earth::LayeredSoil soil(100.0);
  const electrode::Electrode pipe{"pipe", {{{-3.0, -2.0, 0.6}, {-43.0, -2.0, 0.6}, 0.05}}};
  const electrode::FallOfPotential whole(soil, rod, {{pipe, electrode::Connection::joined}},
                                         {{0.0, 0.0}, 90.0, 40.0});
  StakeTest test;
  test.safe_working = all_safe();
  for (const double share : {0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8})
    test.readings.push_back({40.0, 40.0 * share, whole.reading_ohm(40.0 * share)});
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK(whole.resistance_ohm() < 0.2 * rod_resistance_ohm());
  CHECK_THAT(sentence_of(result, FindingKind::still_connected), Contains("metal joined to the electrode"));
  CHECK(result.verdict == TestVerdict::cannot_tell);
}
