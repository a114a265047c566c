// SPDX-License-Identifier: MIT
// A break up the street beside one in the own service: the worse of the two answers is the verdict.
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/street.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

namespace {

using namespace ohmroot;
using study::Verdict;

supply::Load load_of(std::string name, double greatest_a, int phase) {
  supply::Load load;
  load.name = std::move(name);
  load.greatest_current_a = greatest_a;
  load.phase = phase;
  load.stated_model = supply::LoadModel::constant_impedance;
  load.model_basis = "a test";
  return load;
}

/// 10 A of constant impedance: limit 70 x 230 / (10 x (253 - 70)) = 8.80 ohm; the electrode has about 3.3 to 3.6 ohm.
study::Site site() {
  study::Site site;
  site.reference = "street";
  site.edition = "BS 7671:2018+A4:2026";
  site.soil = study::SoilFromLayers{{{8.0, 9.0, std::numeric_limits<double>::infinity()}}, "a test"};
  site.season = study::FactorInterval{1.0, 1.0, "a test"};
  site.loads = {load_of("load", 10.0, 1)};
  site.candidates = {{"rod", electrode::Rod{2.4, 0.016}}};
  return site;
}

study::Street street_with(double current_a, std::vector<study::OtherEarthPath> paths = {}) {
  return {"a test", {load_of("neighbour", current_a, 1)}, std::move(paths)};
}

}  // namespace

TEST_CASE("a break nobody placed cannot be decided, and the answer for the own service is told",
          "[study][street]") {
  const study::StudyResult result = study::assess(site());
  CHECK(result.verdict == Verdict::undecided);
  CHECK_THAT(result.headline,
             Catch::Contains("For a break in the own service alone 'rod' would be: feasible"));
  CHECK(result.breaks.street.empty());
  REQUIRE(result.breaks.own_service.size() == 1);
  CHECK(result.breaks.own_service[0].verdict == Verdict::feasible);
}

TEST_CASE("a street that asks too much overrules the own service", "[study][street]") {
  study::Site given = site();
  given.street = street_with(60.0);  // 70 A in all: limit 1.26 ohm
  const study::StudyResult result = study::assess(std::move(given));
  CHECK(result.verdict == Verdict::not_feasible);
  CHECK(result.breaks.own_service.at(0).verdict == Verdict::feasible);
  CHECK(result.breaks.street.at(0).verdict == Verdict::not_feasible);
  CHECK_THAT(result.rests_on, Catch::Contains("break up the street"));
}

TEST_CASE("a street with good earths of its own and little load leaves the electrode feasible",
          "[study][street]") {
  study::Site given = site();
  given.street =
      street_with(5.0, {{"neighbour's rods", 4.0, true, "a test"}});  // limit 5.87, 3.6 || 4 = 1.9 ohm
  const study::StudyResult result = study::assess(std::move(given));
  CHECK(result.breaks.street.at(0).verdict == Verdict::feasible);
  CHECK(result.verdict == Verdict::feasible);
  CHECK_THAT(result.headline, Catch::Contains("up the street"));
}

TEST_CASE("where only the own service can break the street decides nothing", "[study][street]") {
  study::Site given = site();
  given.street = street_with(60.0);
  given.break_position = study::BreakPosition::own_service;
  given.break_reason = "a test";
  const study::StudyResult result = study::assess(std::move(given));
  CHECK(result.verdict == Verdict::feasible);
  CHECK(result.breaks.street.at(0).verdict == Verdict::not_feasible);
}

TEST_CASE("ways to earth in parallel add their conductances", "[study][street]") {
  CHECK(study::with_relied_on_paths_ohm(6.0, {{"a", 3.0, true, ""}, {"b", 1.0, false, ""}}) == Approx(2.0));
  CHECK(std::isinf(study::with_relied_on_paths_ohm(std::numeric_limits<double>::infinity(), {})));
  CHECK_THROWS_AS(study::with_relied_on_paths_ohm(0.0, {}), DomainError);
}
