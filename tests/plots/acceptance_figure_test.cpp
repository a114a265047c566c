// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include <acceptance/sample_test.hpp>
#include <limits>
#include <plots/acceptance_figures.hpp>
#include <plots/driving_figure.hpp>
#include <regex>
#include <string>

using namespace ohmroot;
using Catch::Contains;

TEST_CASE(
    "fall-of-potential figure: readings, model, right place, limit, and a caption that says the finding",
    "[plots]") {
  acceptance::StakeTest test = test::good_test(40.0);
  const acceptance::StakeTest farther = test::good_test(60.0);
  test.readings.insert(test.readings.end(), farther.readings.begin(), farther.readings.end());
  const auto result = acceptance::judge_test(test::rod_in_100_ohm_m(), test, test::lenient_criterion());
  const auto figure = plots::fall_of_potential_figure(result);
  REQUIRE(figure);
  CHECK_THAT(figure->caption, Contains("Pass") && Contains("predicted"));
  CHECK_THAT(figure->alt_text, Contains("2 curves"));
  for (const char* part : {"$readings0", "$readings1", "$model1", "$right0", "61.8 %", "acceptance value"})
    CHECK_THAT(figure->script, Contains(part));
  const plots::Rendering drawn = plots::render_svg(*figure);
  INFO(drawn.why);
  CHECK(drawn.status == plots::RenderStatus::drawn);

  acceptance::StakeTest aside = test;  // no curve in line: nothing to draw
  for (auto& reading : aside.readings)
    reading.between_deg = 90.0;
  CHECK_FALSE(plots::fall_of_potential_figure(
      acceptance::judge_test(test::rod_in_100_ohm_m(), aside, test::lenient_criterion())));
}

TEST_CASE("retest figure: every test with its interval, the limit, the finding", "[plots]") {
  std::vector<acceptance::RegisterEntry> entries;
  for (int year = 2026; year < 2030; ++year) {
    const double ohm = 5.0 + 0.5 * (year - 2026);
    entries.push_back({std::to_string(year) + "-09-20",
                       "rods",
                       "fall of potential",
                       {ohm, 0.9 * ohm, 1.1 * ohm, {}},
                       9.0,
                       acceptance::TestVerdict::pass,
                       0});
  }
  const auto figure = plots::retest_figure(entries, 9.0);
  REQUIRE(figure);
  CHECK_THAT(figure->alt_text, Contains("4 tests of 'rods'"));
  CHECK_THAT(figure->script,
             Contains("yerrorbars") && Contains("strictest limit") && Contains("$trend using 1:3:4"));
  CHECK(plots::render_svg(*figure).status == plots::RenderStatus::drawn);
  CHECK_THAT(figure->script, !Contains("$limits"));
  CHECK(plots::retest_figure(entries, std::numeric_limits<double>::infinity()));
  // more load since: each test beside the limit of its day, today's from the last one on
  const auto moved = plots::retest_figure(entries, 7.0);
  REQUIRE(moved);
  CHECK_THAT(moved->script, Contains("$limits using 1:2 with lines lw 2.2") && Contains("limit today"));
  CHECK_THAT(moved->caption, Contains("The limit on 2029-09-20 was"));
  CHECK(plots::render_svg(*moved).status == plots::RenderStatus::drawn);
  entries.resize(2);  // no trend yet: the tests alone
  const auto two = plots::retest_figure(entries, 9.0);
  REQUIRE(two);
  CHECK_THAT(two->script, !Contains("$trend"));
  CHECK(plots::render_svg(*two).status == plots::RenderStatus::drawn);
  entries.resize(1);
  CHECK_FALSE(plots::retest_figure(entries, 9.0));
}

TEST_CASE("driving figure: target and forecast lie within its axis", "[plots]") {
  acceptance::DriveForecast forecast;
  acceptance::LengthForecast read_length;
  read_length.length_m = 1.2;
  read_length.resistance_ohm = {90.0, 82.0, 98.0, "read"};
  acceptance::LengthForecast next = read_length;
  next.length_m = 2.4;
  next.resistance_ohm = {19.0, 17.0, 22.0, "ahead"};
  forecast.so_far = {read_length};
  forecast.ahead = {next};
  sounding::DrivenRodReading reading;
  reading.driven_length_m = 1.2;
  reading.resistance_ohm = 90.0;
  const plots::FigureScript figure = plots::driving_figure(forecast, {reading}, 20.0);
  std::smatch range;
  const std::regex yrange(R"(set yrange \[([0-9.e+-]+):([0-9.e+-]+)\])");
  REQUIRE(std::regex_search(figure.script, range, yrange));
  CHECK(std::stod(range[1]) < 17.0);
  CHECK(std::stod(range[2]) > 98.0);
  const plots::Rendering drawn = plots::render_svg(figure);
  CHECK(drawn.status == plots::RenderStatus::drawn);
}
