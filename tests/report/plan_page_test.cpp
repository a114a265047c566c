// SPDX-License-Identifier: MIT
#include "markup.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/plan_page.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot;

namespace {

report::FieldPlan plan_for(double depth_m) {
  report::FieldPlan plan;
  plan.site = "Invented <site> & \"barn\"";
  plan.electrode = {depth_m, 0.0};
  plan.plan = sounding::plan_spacings(plan.electrode, {60.0});
  for (const sounding::PlannedSpacing& spacing : plan.plan.spacings)
    plan.expected.push_back({30.0 / spacing.geometric_factor_m, 300.0 / spacing.geometric_factor_m});
  plan.expected_basis = "Ranges for 30 to 300 ohm m";
  return plan;
}

}  // namespace

TEST_CASE("the sheet for the field is well formed and holds a row for each spacing", "[report]") {
  for (const double depth_m : {0.6, 2.4, 9.0}) {
    const report::FieldPlan plan = plan_for(depth_m);
    const std::string page = report::plan_page(plan);
    const auto markup = test_support::read_markup(page);
    CHECK(markup.fault.empty());
    std::size_t row_count = 0;
    for (const auto& tag : markup.tags) {
      if (tag.name == "tr" && !tag.is_closing) ++row_count;
      CHECK(tag.name != "script");
    }
    CHECK(row_count == plan.plan.spacings.size() + 1);
    CHECK(page.find("Invented &lt;site&gt; &amp; ") != std::string::npos);
    CHECK(page.find("Buried services") != std::string::npos);
    CHECK(page.find("Sketch") != std::string::npos);
  }
}

TEST_CASE("every stake of the sheet stands on the tape", "[report]") {
  const report::FieldPlan plan = plan_for(6.0);
  const double middle_m = report::tape_middle_m(plan.plan);
  for (const sounding::PlannedSpacing& spacing : plan.plan.spacings)
    CHECK(middle_m - spacing.outer_stake_m >= 0.5);
  CHECK(middle_m == std::floor(middle_m));
}

TEST_CASE("a sheet without its ranges is refused", "[report]") {
  report::FieldPlan plan = plan_for(6.0);
  plan.expected.pop_back();
  CHECK_THROWS_AS(report::plan_page(plan), DomainError);
}
