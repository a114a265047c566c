// SPDX-License-Identifier: MIT
// Electrodes in the soils that the data allow.
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/largest_arrangement.hpp>
#include <ohmroot/study/detail/leakage.hpp>
#include <ohmroot/study/detail/rod_soils.hpp>
#include <ohmroot/study/detail/surroundings.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace {

using namespace ohmroot;
using study::Candidate;

constexpr double endless_m = std::numeric_limits<double>::infinity();

study::Site site_on(std::vector<study::StatedLayer> layers) {
  study::Site site;
  site.soil = study::SoilFromLayers{std::move(layers), "a test"};
  return site;
}

study::CandidateResult solved(const study::Site& site, electrode::Shape shape) {
  return study::candidate_resistance(site, study::soil_picture(site), {"electrode", shape});
}

}  // namespace

// Axisymmetric finite elements by a packaged program: reference/fem/results.txt.
TEST_CASE("a rod that crosses a boundary has the resistance of the finite elements", "[study][field]") {
  const study::CandidateResult rising =
      solved(site_on({{100, 100, 1.2}, {1000, 1000, endless_m}}), electrode::Rod{2.4, 0.016});
  CHECK(rising.electrode_ohm.value == Approx(92.210302).epsilon(1e-3));
  const study::CandidateResult falling =
      solved(site_on({{1000, 1000, 1.2}, {100, 100, endless_m}}), electrode::Rod{2.4, 0.016});
  CHECK(falling.electrode_ohm.value == Approx(65.428694).epsilon(1e-3));
  REQUIRE(falling.field);
  CHECK(falling.electrode_ohm.least <= falling.electrode_ohm.value);
  CHECK(falling.electrode_ohm.greatest >= falling.electrode_ohm.value);
  // 39.99116 ohm in 100 ohm m (boundary elements with the exact kernel, reference/ACCURACY.md).
  CHECK(falling.field->equivalent_resistivity_ohm_m == Approx(65.428694 / 0.3999116).epsilon(1e-3));
  // Dwight 1936 (from memory) with each layer's resistivity: 403.9 and 40.39 ohm.
  CHECK_THAT(falling.field->comparison, Catch::Contains("404 ohm, 6.17 times"));
  CHECK_THAT(falling.field->comparison, Catch::Contains("40.4 ohm, 0.617 times"));
}

TEST_CASE("stated ends of the layers are the ends of the resistance", "[study][field]") {
  const electrode::Rod rod{2.4, 0.016};
  const auto between = solved(site_on({{100, 400, 1.2}, {50, 90, endless_m}}), rod);
  const auto least = solved(site_on({{100, 100, 1.2}, {50, 50, endless_m}}), rod);
  const auto greatest = solved(site_on({{400, 400, 1.2}, {90, 90, endless_m}}), rod);
  CHECK(between.electrode_ohm.least == Approx(least.electrode_ohm.value).epsilon(2e-3));
  CHECK(between.electrode_ohm.greatest == Approx(greatest.electrode_ohm.value).epsilon(2e-3));
  CHECK(between.electrode_ohm.value > between.electrode_ohm.least);
  CHECK(between.electrode_ohm.value < between.electrode_ohm.greatest);
}

TEST_CASE("of draws the interval is that of their resistances", "[study][field]") {
  study::SoilPicture soil;
  soil.evidence = study::Evidence::stated_layers;
  soil.allowed.are_draws = true;
  std::vector<double> resistivities_ohm_m;
  for (int i = 1; i <= 200; ++i)
    resistivities_ohm_m.push_back(10.0 + i);
  for (const double resistivity_ohm_m : resistivities_ohm_m)
    soil.allowed.soils.push_back(earth::LayeredSoil(resistivity_ohm_m));
  const auto result = study::candidate_resistance({}, soil, {"rod", electrode::Rod{2.4, 0.016}});
  // R is proportional to rho: 0.3999116 ohm per ohm m, as above.
  CHECK(result.electrode_ohm.least == Approx(0.3999116 * quantile(resistivities_ohm_m, 0.05)).epsilon(1e-3));
  CHECK(result.electrode_ohm.greatest ==
        Approx(0.3999116 * quantile(resistivities_ohm_m, 0.95)).epsilon(1e-3));
  CHECK(result.field->soil_count == 200);
  const auto few = study::candidate_resistance({}, soil, {"rod", electrode::Rod{2.4, 0.016}}, {20});
  CHECK(few.field->soil_count == 20);
}

TEST_CASE("where the field solution refuses, the formula brackets and says why", "[study][field]") {
  const auto result = solved(site_on({{100, 100, 2.0}, {300, 300, endless_m}}),
                             electrode::RodSquare{{2.4, 0.016}, 1000, 3.0});
  CHECK_FALSE(result.field);
  CHECK_FALSE(result.field_refusal.empty());
  CHECK_THAT(result.electrode_ohm.basis, Catch::Contains("No field solution"));
  CHECK(result.electrode_ohm.least < result.electrode_ohm.greatest);
}

TEST_CASE("every soil that one rod's reading leaves open gives that reading", "[study][field]") {
  const study::SoilFromRod reading{{1.2, 0.016}, 45.0, 0.05};
  const study::AllowedSoils allowed = study::detail::soils_of(reading);
  const std::vector<electrode::Electrode> rod{{"rod", electrode::conductors_of(reading.rod)}};
  const double spread_ratio = std::exp(1.6448536 * 0.05);
  CHECK(allowed.soils.front().is_uniform());
  for (std::size_t i = 1; i < allowed.soils.size(); ++i) {
    const double expected_ohm = 45.0 * (i % 2 == 1 ? 1 / spread_ratio : spread_ratio);
    CHECK(electrode::solve_field(allowed.soils[i], rod).resistance_ohm(0, 0) ==
          Approx(expected_ohm).epsilon(1e-6));  // what the engine demands of its kernel
  }
}

TEST_CASE("the largest arrangement spreads over the soils of the reading", "[study][field][desk]") {
  const auto arrangement = study::detail::largest_arrangement({12.0, 8.0, 3.0}, 0.016);
  REQUIRE(arrangement.field_factor_per_m);
  // The published group factor is within a tenth of the rods where they stand.
  CHECK(arrangement.factor_per_m == Approx(*arrangement.field_factor_per_m).epsilon(0.1));
  const auto spread = study::detail::arrangement_spread(arrangement, {{1.2, 0.016}, 45.0, 0.05});
  REQUIRE(spread);
  // One rod of 1.2 m: (ln(8 L / d) - 1) / (2 pi L), Dwight 1936 (from memory), up to 2.2 % above the truth.
  const double rod_factor_per_m = (std::log(8 * 1.2 / 0.016) - 1) / (2 * 3.14159265358979 * 1.2);
  CHECK(spread->value >= *arrangement.field_factor_per_m * 45.0 / rod_factor_per_m);
  CHECK(spread->value <= *arrangement.field_factor_per_m * 45.0 / rod_factor_per_m * 1.0225);
  CHECK(spread->least < spread->value / 3);
  CHECK(spread->greatest > spread->value * 3);
  const auto too_many = study::detail::largest_arrangement({100.0, 100.0, 1.2}, 0.016);
  CHECK_FALSE(too_many.field_factor_per_m);
  CHECK_FALSE(too_many.field_refusal.empty());
}

TEST_CASE("what leaves along the conductors is the whole current, and like conductors are told once",
          "[study][field]") {
  const earth::LayeredSoil soil({{300, 1.5}, {60, endless_m}});
  const auto curve = study::detail::leakage_of(electrode::RodLine{{2.4, 0.016}, 5, 3.0}, soil);
  REQUIRE(curve.paths.size() == 3);
  CHECK(curve.is_depth);
  CHECK(curve.interface_depth_m == std::vector<double>{1.5});
  CHECK(curve.paths[0].name == "rods 1 and 5");
  CHECK(curve.paths[2].name == "rod 3");
  double share_ratio = 0.0;
  const double weights[] = {2, 2, 1};
  for (std::size_t p = 0; p < 3; ++p) {
    for (std::size_t i = 0; i < curve.paths[p].share_per_m.size(); ++i)
      share_ratio +=
          weights[p] * curve.paths[p].share_per_m[i] * (curve.paths[p].to_m[i] - curve.paths[p].from_m[i]);
  }
  CHECK(share_ratio == Approx(1.0).epsilon(2e-3));
  const auto ring = study::detail::leakage_of(electrode::Ring{6.0, 0.01, 0.6}, soil);
  REQUIRE(ring.paths.size() == 1);
  CHECK_FALSE(ring.is_depth);
  CHECK(ring.paths[0].to_m.back() == Approx(6.0 * 3.14159265).epsilon(5e-3));
}

// 10.42111 V on the surface 1 m from the rod's axis at 1 A, 39.99116 ohm: boundary elements with the exact kernel,
// reference/ACCURACY_SURFACES.md and ACCURACY.md.
TEST_CASE("the ground around an electrode has its shares of the potential", "[study][field]") {
  const auto around = study::detail::surroundings_of(electrode::Rod{2.4, 0.016}, earth::LayeredSoil(100.0));
  REQUIRE(around.distance_m.size() == around.surface_share_ratio.size());
  const auto at_one =
      std::find(around.distance_m.begin(), around.distance_m.end(), 1.0) - around.distance_m.begin();
  CHECK(around.surface_share_ratio.at(static_cast<std::size_t>(at_one)) ==
        Approx(10.42111 / 39.99116).epsilon(1e-3));
  for (std::size_t i = 1; i < around.surface_share_ratio.size(); ++i)
    CHECK(around.surface_share_ratio[i] < around.surface_share_ratio[i - 1]);
  for (const study::ShareGrid* grid : {&around.map, &around.section}) {
    REQUIRE(grid->share_ratio.size() == static_cast<std::size_t>(grid->across_count * grid->along_count));
    CHECK(*std::max_element(grid->share_ratio.begin(), grid->share_ratio.end()) <= 1.0 + 1e-3);
    CHECK(*std::min_element(grid->share_ratio.begin(), grid->share_ratio.end()) > 0.0);
  }
  // Layers far below the metal are reached by the section too.
  const auto layered = study::detail::surroundings_of(electrode::Tape{10.0, 0.025, 0.6},
                                                      earth::LayeredSoil({{100.0, 1.0}, {300.0, endless_m}}));
  CHECK(layered.section.along_to_m > 1.0);
}
