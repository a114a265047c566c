// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/as_built.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

namespace {

using namespace ohmroot;
using Catch::Contains;

study::StudyResult studied() {
  study::StudyResult result;
  result.site.candidates = {{"one rod", electrode::Rod{2.4, 0.016}},
                            {"two rods", electrode::RodLine{{2.4, 0.016}, 2, 3.0}}};
  result.site.season = study::FactorInterval{1.1, 1.5, "a test"};
  result.site.month_of_measurement = "October";
  result.site.earthing_conductor_ohm = 0.02;
  result.site.other_paths = {{"pipe", 50.0, true, "a test"}, {"fence", 10.0, false, "a test"}};
  result.site.break_position = study::BreakPosition::own_service;
  result.site.break_reason = "a test";
  for (int i = 0; i < 100; ++i)
    result.soil.allowed.soils.emplace_back(100.0 + i);
  result.soil.allowed.are_draws = true;
  supply::Requirement strict;
  strict.resistance_ohm = 2.0;
  supply::Requirement lenient;
  lenient.outcome = supply::RequirementOutcome::none_needed;
  result.requirements = {strict, lenient};
  result.requirement_span = {&result.requirements[0], &result.requirements[1], false};
  return result;
}

acceptance::TestSheet sheet_of(int month, const std::string& electrode) {
  acceptance::TestSheet sheet;
  sheet.month = month;
  sheet.electrode = electrode;
  return sheet;
}

}  // namespace

TEST_CASE("a study and a test sheet make the question of the test", "[study]") {
  const study::AsBuilt built = study::as_built(studied(), sheet_of(10, "two rods"));
  CHECK(built.candidate == 1);
  CHECK(built.electrode.metal.conductors.size() == 2);
  CHECK(built.electrode.soils.size() == 40);
  CHECK(built.electrode.soils.front().layers().front().resistivity_ohm_m == 100.0);
  CHECK(built.criterion.strictest_ohm == 2.0);
  CHECK(std::isinf(built.criterion.most_lenient_ohm));
  CHECK(built.criterion.relied_on_conductance_per_ohm == Approx(1.0 / 50.0));  // the fence is not relied on
  REQUIRE(built.criterion.season);
  CHECK(built.criterion.season->greatest_ratio == 1.5);
  CHECK(built.remarks.empty());
}

TEST_CASE("the site's season factor counts from its own month only", "[study]") {
  const study::AsBuilt april = study::as_built(studied(), sheet_of(4, "one rod"));
  CHECK_FALSE(april.criterion.season);
  REQUIRE(april.remarks.size() == 1);
  CHECK_THAT(april.remarks.front(), Contains("October") && Contains("April"));
  // the prediction is of another month: wider by what the season can do
  CHECK(april.electrode.beyond_soil_ratio == Approx(std::hypot(0.08, std::log(1.5) / 1.6448536)));
  acceptance::TestSheet stated = sheet_of(4, "one rod");
  stated.season = acceptance::Criterion::Season{1.2, 1.8, "sheet"};
  CHECK(study::as_built(studied(), stated).criterion.season->greatest_ratio == 1.8);
}

TEST_CASE("what cannot be tested is refused by name, what is not covered is said", "[study]") {
  CHECK_THROWS_WITH(study::as_built(studied(), sheet_of(10, "ring")), Contains("one rod, two rods"));
  study::StudyResult no_soil = studied();
  no_soil.soil.allowed.soils.clear();
  CHECK_THROWS_AS(study::as_built(no_soil, sheet_of(10, "one rod")), DomainError);
  study::StudyResult uncovered = studied();
  uncovered.requirement_span.has_uncovered = true;
  const study::AsBuilt built = study::as_built(uncovered, sheet_of(10, "one rod"));
  CHECK(built.criterion.strictest_ohm == 0.0);
  CHECK_FALSE(acceptance::acceptance_value(built.criterion).accept_below_ohm);
  CHECK(built.remarks.size() == 1);
  study::StudyResult street = studied();
  street.site.break_position = study::BreakPosition::unstated;
  CHECK_THAT(study::as_built(street, sheet_of(10, "one rod")).remarks.front(),
             Contains("break up the street"));
}
