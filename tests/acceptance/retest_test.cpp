// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/core/error.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

using namespace ohmroot;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

RegisterEntry entry(const std::string& date, double value_ohm) {
  return {date,
          "two rods",
          "fall of potential",
          {value_ohm, value_ohm / 1.05, value_ohm * 1.05, {}},
          20.0,
          TestVerdict::pass,
          0};
}

}  // namespace

TEST_CASE("register lines read back to the same numbers, whatever the name", "[acceptance]") {
  RegisterEntry first = entry("2026-10-14", 12.345678901234567);
  first.electrode = "rods, \"by the gate\"\nnew";
  RegisterEntry second = entry("2027-10-01", 0.1 + 0.2);
  second.strictest_ohm.reset();
  second.verdict = TestVerdict::cannot_tell;
  Diagnostics found("register.csv");
  const auto back = read_register(register_heading() + register_line(first) + register_line(second), found);
  CHECK(found.all().empty());
  REQUIRE(back.size() == 2);
  CHECK(back[0].electrode == "rods, \"by the gate\" new");
  CHECK(back[0].worst_season_ohm.value == first.worst_season_ohm.value);
  CHECK(back[0].worst_season_ohm.greatest == first.worst_season_ohm.greatest);
  CHECK(back[1].worst_season_ohm.value == second.worst_season_ohm.value);
  CHECK_FALSE(back[1].strictest_ohm);
  CHECK(back[1].verdict == TestVerdict::cannot_tell);
  CHECK(read_register("", found).empty());
}

TEST_CASE("a line that was cut off is found, and the others are read", "[acceptance]") {
  const std::string whole = register_heading() + register_line(entry("2026-10-14", 12.0));
  const std::string last = register_line(entry("2027-10-14", 13.0));
  for (std::size_t cut = 1; cut < last.size(); ++cut) {
    Diagnostics found("register.csv");
    const auto back = read_register(whole + last.substr(0, cut), found);
    INFO(cut);
    CHECK(found.has_errors());
    CHECK(!back.empty());
  }
  Diagnostics found("register.csv");
  const auto back = read_register(register_heading() + "2026-10-14,x,y,12,13,14,20,pass\n", found);
  CHECK(back.empty());
  CHECK_THAT(found.all().front().message, Contains("not in order"));
}

TEST_CASE("trend and alarm towards the limit", "[acceptance]") {
  // 8 % a year, exactly: ln R rises by ln 1.08 each year
  std::vector<RegisterEntry> rising;
  for (int year = 0; year < 8; ++year)
    rising.push_back(entry(std::to_string(2020 + year) + "-10-14", 5.0 * std::pow(1.08, year)));
  const RetestTrend trend = retest_trend(rising, 40.0);
  REQUIRE(trend.yearly_change_ratio);
  CHECK(trend.yearly_change_ratio->value == Approx(0.08).epsilon(0.01));
  CHECK(trend.alarm == RetestAlarm::rising);
  CHECK(*trend.years_to_limit == Approx(std::log(8.0) / std::log(1.08) - 7.0).epsilon(0.01));
  CHECK_THAT(trend.sentence, Contains("Rising by"));
  const RetestTrend near = retest_trend(rising, 9.5);
  CHECK(near.alarm == RetestAlarm::limit_near);
  CHECK_THAT(near.sentence, Contains("within six months"));
  const RetestTrend over = retest_trend(rising, 8.7);
  CHECK(over.alarm == RetestAlarm::over_limit);
  CHECK_THAT(over.sentence, Contains("no longer be relied on"));
  CHECK(retest_trend(rising, std::numeric_limits<double>::infinity()).alarm == RetestAlarm::none);
}

TEST_CASE("a steady electrode raises no alarm, a sudden fall does, two tests make no trend", "[acceptance]") {
  const std::vector<RegisterEntry> steady{entry("2020-10-01", 8.0), entry("2021-10-01", 8.2),
                                          entry("2022-10-01", 7.9), entry("2023-10-01", 8.1)};
  const RetestTrend none = retest_trend(steady, 20.0);
  CHECK(none.alarm == RetestAlarm::none);
  CHECK_THAT(none.sentence, Contains("no rise"));
  std::vector<RegisterEntry> fallen = steady;
  fallen.push_back(entry("2024-10-01", 1.5));
  CHECK(retest_trend(fallen, 20.0).alarm == RetestAlarm::sudden_fall);
  CHECK_THAT(retest_trend(fallen, 20.0).sentence, Contains("does not mend itself") && Contains("PME"));
  const RetestTrend two = retest_trend({steady[0], steady[1]}, 20.0);
  CHECK_FALSE(two.yearly_change_ratio);
  CHECK_THAT(two.sentence, Contains("three tests"));
  CHECK_THROWS_AS(retest_trend({}, 20.0), DomainError);
  CHECK_THROWS_AS(retest_trend({entry("2026-02-30", 8.0)}, 20.0), DomainError);
}
