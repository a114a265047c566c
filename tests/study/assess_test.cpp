// SPDX-License-Identifier: MIT
// The rule of the verdict: feasible needs the upper end below the strictest limit and evidence that can carry
// it; not feasible needs the lower end above the most lenient limit; all else cannot be decided.
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/assess.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

namespace {

using namespace ohmroot;
using study::Verdict;

constexpr double unlimited = std::numeric_limits<double>::infinity();

/// One phase, 10 A: limits about 8.80 (constant impedance), 7.00, 4.45 ohm (constant power at 216.2 V).
study::Site site_with(double least_ohm_m, double greatest_ohm_m) {
  study::Site site;
  site.reference = "T";
  site.edition = "BS 7671:2018+A4:2026";
  site.soil = study::SoilFromLayers{{{least_ohm_m, greatest_ohm_m, unlimited}}, "a test"};
  site.season = study::FactorInterval{1.0, 1.2, "a test"};
  supply::Load load;
  load.name = "load";
  load.greatest_current_a = 10.0;
  site.loads = {load};
  site.break_position = study::BreakPosition::own_service;
  site.break_reason = "a test";
  site.candidates = {{"rod", electrode::Rod{2.4, 0.016}}};  // 0.40386 ohm per ohm m
  return site;
}

Verdict verdict_of(study::Site site) {
  return study::assess(std::move(site)).verdict;
}

}  // namespace

TEST_CASE("the verdict follows the interval against the strictest and the most lenient limit",
          "[study][verdict]") {
  // upper end: 9 x 0.404 x 1.2 = 4.36 < 4.45; lower end: 23 x 0.404 x 0.98 = 9.1 > 8.80
  CHECK(verdict_of(site_with(8.0, 9.0)) == Verdict::feasible);
  CHECK(verdict_of(site_with(23.0, 30.0)) == Verdict::not_feasible);
  CHECK(verdict_of(site_with(8.0, 12.0)) == Verdict::undecided);   // upper end across the strictest
  CHECK(verdict_of(site_with(18.0, 30.0)) == Verdict::undecided);  // lower end below the most lenient
}

TEST_CASE("the earthing conductor counts inside the requirement", "[study][verdict]") {
  study::Site site = site_with(8.0, 9.0);
  site.earthing_conductor_ohm = 0.2;
  CHECK(verdict_of(std::move(site)) == Verdict::undecided);
}

TEST_CASE("a good number without its conditions cannot be decided, and the report says which is missing",
          "[study][verdict]") {
  study::Site site = site_with(8.0, 9.0);
  std::string missing;
  SECTION("no season") {
    site.season.reset();
    missing = "seasonal factor";
  }
  SECTION("no break stated") {
    site.break_position = study::BreakPosition::unstated;
    missing = "position of the break";
  }
  SECTION("a break where neighbours' current flows too") {
    site.break_position = study::BreakPosition::distribution_main;
    missing = "other customers";
  }
  SECTION("rules of another country") {
    site.jurisdiction = "XX";
    missing = "not held";
  }
  SECTION("an edition nobody here has read") {
    site.edition = "BS 7671:1999";
    missing = "not held";
  }
  SECTION("a word for the soil") {
    site.soil = study::SoilFromWord{"clay"};
    for (auto& load : site.loads)
      load.greatest_current_a = 0.05;  // even a mere 50 mA
    missing = "a word for the soil";
  }
  const study::StudyResult result = study::assess(std::move(site));
  CHECK(result.verdict == Verdict::undecided);
  CHECK(study::exit_code(result.verdict) == 2);
  CHECK_THAT(result.headline, Catch::Contains(missing));
  CHECK_FALSE(result.next_steps.empty());
}

TEST_CASE("three phases: each verdict rests on the worst case of every load model", "[study][verdict]") {
  // 10 A on one of the phases and nothing that must run on the others: the limits of one phase, 4.45 to 8.80 ohm.
  const auto three_phase = [](double least_ohm_m, double greatest_ohm_m) {
    study::Site site = site_with(least_ohm_m, greatest_ohm_m);
    site.supply.phase_count = 3;
    return site;
  };
  const study::StudyResult result = study::assess(three_phase(8.0, 9.0));
  CHECK(result.verdict == Verdict::feasible);
  CHECK(result.requirement_span.strictest->resistance_ohm == Approx(4.45).epsilon(2e-3));
  CHECK(std::any_of(result.holds_for.begin(), result.holds_for.end(),
                    [](const std::string& line) { return line.find("Three phases") != std::string::npos; }));
  CHECK(std::any_of(result.assumptions.begin(), result.assumptions.end(),
                    [](const std::string& line) { return line.find("third order") != std::string::npos; }));
  CHECK(verdict_of(three_phase(23.0, 30.0)) == Verdict::not_feasible);
  CHECK(verdict_of(three_phase(12.0, 14.0)) == Verdict::undecided);
  // Stated as constant impedance the load leaves more.
  study::Site stated = three_phase(12.0, 14.0);
  stated.loads[0].stated_model = supply::LoadModel::constant_impedance;
  stated.loads[0].model_basis = "a test";
  CHECK(verdict_of(std::move(stated)) == Verdict::feasible);
}

TEST_CASE("a break up the street voids even 'not feasible'", "[study][verdict]") {
  study::Site site = site_with(23.0, 30.0);
  site.break_position = study::BreakPosition::shared_service;
  CHECK(verdict_of(std::move(site)) == Verdict::undecided);
}

TEST_CASE("a path that is not relied on changes no verdict, one that is relied on does", "[study][verdict]") {
  study::Site site = site_with(8.0, 12.0);
  site.other_paths = {{"pipe", 10.0, false, ""}};
  CHECK(verdict_of(site) == Verdict::undecided);
  site.other_paths[0].is_relied_on = true;
  site.other_paths[0].basis = "a test";
  CHECK(verdict_of(std::move(site)) == Verdict::feasible);  // 5.8 || 10 = 3.7 ohm
}

TEST_CASE("skipped rows above one in a hundred decide nothing", "[study][verdict]") {
  study::Site site = site_with(23.0, 30.0);
  study::SoilFromReadings source;
  source.file = {"sheet"};
  sounding::FieldSheet sheet;
  for (const double spacing_m : {0.5, 1.0, 2.0, 4.0, 8.0}) {
    sheet.readings.push_back(sounding::wenner_reading(spacing_m, 60.0 / (2 * 3.14159265358979 * spacing_m)));
  }
  sheet.data_row_count = 5;
  source.sheet = {sheet};
  site.soil = source;
  CHECK(verdict_of(site) == Verdict::not_feasible);
  source.sheet[0].skipped.push_back({7, "over range", true, 1999.0});
  source.sheet[0].data_row_count = 6;
  site.soil = source;
  const study::StudyResult result = study::assess(std::move(site));
  CHECK(result.verdict == Verdict::undecided);
  CHECK_THAT(result.headline, Catch::Contains("1 of 6 rows"));
}

TEST_CASE("a reading that its neighbours do not allow holds every verdict back", "[study][verdict]") {
  study::Site site = site_with(23.0, 30.0);
  study::SoilFromReadings source;
  source.file = {"sheet"};
  sounding::FieldSheet sheet;
  for (const double spacing_m : {0.5, 1.0, 2.0, 4.0, 8.0, 16.0}) {
    sheet.readings.push_back(sounding::wenner_reading(spacing_m, 60.0 / (2 * 3.14159265358979 * spacing_m)));
  }
  sheet.data_row_count = 6;
  source.sheet = {sheet};
  site.soil = source;
  CHECK(verdict_of(site) == Verdict::not_feasible);
  source.sheet[0].readings[3].resistance_ohm *= 10.0;  // a decimal slip
  site.soil = source;
  const study::StudyResult result = study::assess(std::move(site));
  CHECK(result.verdict == Verdict::undecided);
  CHECK_THAT(result.headline, Catch::Contains("doubtful"));
}

TEST_CASE("a short sounding can rule out but not accept", "[study][verdict]") {
  study::Site site = site_with(8.0, 9.0);
  study::SoilFromReadings source;
  source.file = {"sheet"};
  sounding::FieldSheet sheet;
  for (const double spacing_m : {0.5, 0.7, 1.0, 1.4, 2.0}) {  // 2 m looks 1.04 m deep: too short for 2.4 m
    sheet.readings.push_back(sounding::wenner_reading(spacing_m, 8.0 / (2 * 3.14159265358979 * spacing_m)));
    sheet.readings.back().relative_error_ratio = 0.01;
  }
  sheet.data_row_count = 5;
  source.sheet = {sheet};
  site.soil = source;
  const study::StudyResult result = study::assess(site);
  REQUIRE(result.candidates.size() == 1);
  CHECK(result.candidates[0].evidence == study::Evidence::short_sounding);
  CHECK(result.verdict == Verdict::undecided);
}

TEST_CASE("one rod rules out its like by R1 / n and accepts only itself", "[study][verdict]") {
  study::Site site = site_with(8.0, 9.0);
  site.soil = study::SoilFromRod{{2.4, 0.016}, 100.0, 0.05};
  site.candidates = {{"five like it", electrode::RodLine{{2.4, 0.016}, 5, 3.0}}};  // 100 / 5 = 20 > 8.8
  CHECK(verdict_of(site) == Verdict::not_feasible);
  site.soil = study::SoilFromRod{{2.4, 0.016}, 3.0, 0.05};
  site.candidates = {{"itself", electrode::Rod{2.4, 0.016}}};  // 3.0 x 1.086 x 1.2 = 3.9 < 4.45
  CHECK(verdict_of(site) == Verdict::feasible);
  site.candidates = {{"another kind", electrode::Rod{4.8, 0.016}}};
  CHECK(verdict_of(site) == Verdict::undecided);
}

TEST_CASE("a measured electrode decides, unless PME was still connected", "[study][verdict]") {
  study::Site site = site_with(8.0, 9.0);
  site.soil.reset();
  site.candidates.clear();
  site.measured = study::MeasuredElectrode{"as built", 3.0, 0.05, "fall of potential", "2026-10-01", true};
  CHECK(verdict_of(site) == Verdict::feasible);
  site.measured->was_pme_disconnected = false;
  const study::StudyResult result = study::assess(std::move(site));
  CHECK(result.verdict == Verdict::undecided);
  CHECK_THAT(result.headline, Catch::Contains("supply network"));
}

TEST_CASE("the floor speaks for all electrodes only when it is above the most lenient limit",
          "[study][verdict]") {
  study::Site site = site_with(500.0, 600.0);
  site.land = study::Land{{{0, 0}, {4, 0}, {4, 3}, {0, 3}}, 1.5};
  const study::StudyResult hopeless = study::assess(site);
  REQUIRE(hopeless.floor);
  CHECK(hopeless.floor->proves_infeasible);
  CHECK_THAT(hopeless.headline, Catch::Contains("any other new electrode"));
  site = site_with(30.0, 40.0);
  site.land = study::Land{{{0, 0}, {40, 0}, {40, 30}, {0, 30}}, 6.0};
  const study::StudyResult small_only = study::assess(std::move(site));
  CHECK(small_only.verdict == Verdict::not_feasible);
  CHECK_FALSE(small_only.floor->proves_infeasible);
}

TEST_CASE("a study without a load or without any soil is refused", "[study]") {
  study::Site site = site_with(8.0, 9.0);
  site.loads.clear();
  CHECK_THROWS_AS(study::assess(site), DomainError);
  site = site_with(8.0, 9.0);
  site.soil.reset();
  CHECK_THROWS_AS(study::assess(site), DomainError);
}

TEST_CASE("every study carries its conditions, cautions and the other routes", "[study]") {
  const study::StudyResult result = study::assess(site_with(8.0, 9.0));
  CHECK(result.cautions.size() >= 9);
  CHECK(result.voided_by.size() >= 6);
  CHECK(result.holds_for.size() >= 4);
  CHECK(result.methods.size() >= 6);
  CHECK(result.tt.has_value());
  CHECK(result.voltage_curve.has_value());
  CHECK(result.resistance_curve.has_value());
}
