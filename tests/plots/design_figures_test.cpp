// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include <plots/design_figures.hpp>
#include <plots/detail/contour.hpp>

using namespace ohmroot;

namespace {

/// Shares that rise evenly from one side to the other.
study::ShareGrid slope(double least_ratio, double greatest_ratio) {
  constexpr int count = 41;
  study::ShareGrid grid{-1.0, 11.0, -1.0, 7.0, count, count, {}};
  for (int row = 0; row < count; ++row)
    for (int column = 0; column < count; ++column)
      grid.share_ratio.push_back(least_ratio + (greatest_ratio - least_ratio) * column / (count - 1));
  return grid;
}

study::DesignResult two_rods() {
  study::DesignResult result;
  result.question.plan.land = {{0, 0}, {10, 0}, {10, 6}, {0, 6}};
  result.question.plan.keep_outs = {{"drain", {{4, 0}, {5, 0}, {5, 3}, {4, 3}}, 0.5}};
  result.question.plan.met = design::PlanPoint{1, 0};
  result.question.goal.required_ohm = 5.0;
  design::Arrangement rods{design::Kind::rods_free, {{1, 5}, {9, 5}}, 2, {{{1, 5}, {9, 5}}}, true};
  result.search.best = design::Design{rods, 700, 4.5};
  result.search.front = {{rods, 700, 4.5}, {rods, 500, 9.0}};
  result.search.check.emplace().worst_season_ohm = {3.0, 4.0, 4.2, 4.5, 6.0};
  return result;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("lines of equal potential stand at round levels within the values", "[plots]") {
  CHECK(plots::detail::round_levels(slope(0.08, 0.93)) == "10, 20, 30, 40, 50, 60, 70, 80, 90");
  CHECK(plots::detail::round_levels(slope(0.71, 0.97)) == "75, 80, 85, 90, 95");
  CHECK(plots::detail::round_levels(slope(0.855, 0.9399)) == "86, 88, 90, 92");
  CHECK(plots::detail::round_levels(slope(0.901, 0.902)) == "90.15");  // none is round: one line, not none
}

TEST_CASE("a plan shows land, keep-outs, electrode, MET and potentials, wherever these lie", "[plots]") {
  for (const double least_ratio : {0.2, 0.85}) {
    study::DesignResult result = two_rods();
    result.surface = slope(least_ratio, 0.96);
    const auto figure = plots::plan_figure(result);
    REQUIRE(figure);
    CHECK(holds(figure->caption, "The design: 2 rods"));
    const plots::Rendering drawn = plots::render_svg(*figure);
    REQUIRE(drawn.status == plots::RenderStatus::drawn);
    for (const char* word : {"land", "keep-out", "rod", "MET", "bare tape", "x [m]", "y [m]"})
      CHECK(holds(drawn.svg, word));
    CHECK(holds(drawn.svg, ">90<"));  // the number of a line
  }
}

TEST_CASE("front and distribution name the requirement, the front the floor too", "[plots]") {
  study::DesignResult result = two_rods();
  CHECK_FALSE(holds(plots::front_figure(result)->script, "title 'floor"));
  result.proof.ellipsoid.draw_count = 100;
  result.proof.ellipsoid.least_1_percent_ohm = 0.8;
  CHECK(holds(plots::front_figure(result)->script, "floor, 0.800"));
  CHECK(holds(plots::front_figure(result)->caption, "less than 0.800"));
  for (auto* figure_of : {plots::front_figure, plots::design_distribution_figure}) {
    const auto figure = figure_of(result);
    REQUIRE(figure);
    CHECK(holds(figure->script, "required, 5.00"));
    CHECK(plots::render_svg(*figure).status == plots::RenderStatus::drawn);
  }
}
