// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/retest_register.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/journal.hpp>

#include <catch2/catch.hpp>

#include <limits>

using namespace ohmroot;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

RegisterEntry entry(const std::string& date, double value_ohm) {
  RegisterEntry made;
  made.date = date;
  made.electrode = "two rods";
  made.method = "fall of potential";
  made.worst_season_ohm = {value_ohm, value_ohm / 1.05, value_ohm * 1.05, {}};
  made.strictest_ohm = 20.0;
  made.verdict = TestVerdict::pass;
  return made;
}

std::string line(const RegisterEntry& made, int replaces_line = 0) {
  return retest_line(made, "2026-10-14 12:00", replaces_line) + "\n";
}

const std::string heading = retest_register_header() + "\n";

}  // namespace

TEST_CASE("register lines read back to the same numbers, whatever the name", "[acceptance]") {
  RegisterEntry first = entry("2026-10-14", 12.345678901234567);
  first.electrode = "rods, \"by the gate\"\nnew";
  first.measured_ohm = Estimate{10.1, 1e-5, 1.0e7 / 3.0, {}};
  first.tester = "the second; tester";
  first.instrument = "#4, \"calibrated\" 2026-08";
  RegisterEntry second = entry("2027-10-01", 0.1 + 0.2);
  second.strictest_ohm.reset();
  second.verdict = TestVerdict::cannot_tell;
  Diagnostics found("register.csv");
  const RetestRegister back = read_retest_register(heading + line(first) + line(second), found);
  CHECK(found.all().empty());
  REQUIRE(back.entries.size() == 2);
  const RegisterEntry& a = back.entries[0];
  const RegisterEntry& b = back.entries[1];
  CHECK(a.electrode == "rods, \"by the gate\" new");
  CHECK(a.worst_season_ohm.value == first.worst_season_ohm.value);
  CHECK(a.worst_season_ohm.greatest == first.worst_season_ohm.greatest);
  REQUIRE(a.measured_ohm);
  CHECK(a.measured_ohm->least == first.measured_ohm->least);
  CHECK(a.measured_ohm->greatest == first.measured_ohm->greatest);
  CHECK(a.tester == first.tester);
  CHECK(a.instrument == first.instrument);
  CHECK(a.sheet_line == 2);
  CHECK(b.worst_season_ohm.value == second.worst_season_ohm.value);
  CHECK_FALSE(b.strictest_ohm);
  CHECK_FALSE(b.measured_ohm);
  CHECK(b.verdict == TestVerdict::cannot_tell);
  CHECK(back.same_as(first) == &back.entries[0]);
  CHECK(back.same_as(entry("2026-10-14", 12.0)) == nullptr);
  CHECK(back.of_electrode(first.electrode).size() == 1);
  CHECK(read_retest_register("", found).entries.empty());
}

TEST_CASE("a line takes the place of another, or takes it out; both stay in the file", "[acceptance]") {
  const std::string book = heading + line(entry("2026-10-14", 12.0)) + line(entry("2026-10-14", 1.2), 2) +
                           line(entry("2027-10-14", 13.0)) + retest_withdrawal_line("2027-10-15 09:00", 4) +
                           "\n";
  Diagnostics found("register.csv");
  const RetestRegister back = read_retest_register(book, found);
  CHECK(found.all().empty());
  REQUIRE(back.entries.size() == 1);
  CHECK(back.entries[0].worst_season_ohm.value == 1.2);
  CHECK(back.superseded_lines == std::vector<int>{2, 4});
  CHECK(back.at(2) == nullptr);
  CHECK(back.at(3) != nullptr);
  Diagnostics twice("register.csv");
  CHECK(read_retest_register(book + retest_withdrawal_line("2027-10-15 09:00", 4) + "\n", twice)
            .entries.size() == 1);
  REQUIRE(twice.has_errors());
  CHECK_THAT(twice.all().front().message, Contains("in force"));
}

TEST_CASE("a line that a crash cut off anywhere is left out with a warning, the others count",
          "[acceptance]") {
  const std::string whole = heading + line(entry("2026-10-14", 12.0));
  std::string last = line(entry("2027-10-14", 13.0));
  last.pop_back();
  for (std::size_t cut = 1; cut < last.size(); ++cut) {
    Diagnostics found("register.csv");
    const RetestRegister back = read_retest_register(
        whole + last.substr(0, cut) + std::string(text::torn_mark) + "\n" + line(entry("2028-10-14", 13.5)),
        found);
    INFO(cut);
    CHECK_FALSE(found.has_errors());
    CHECK(found.all().size() == 1);
    CHECK(back.entries.size() == 2);
  }
}

TEST_CASE("what cannot be read is an error with its place; what could not be read back is not written",
          "[acceptance]") {
  const std::string good = line(entry("2026-10-14", 12.0));
  const auto message = [&](const std::string& from, const std::string& to) {
    std::string bad = good;
    bad.replace(bad.find(from), from.size(), to);
    Diagnostics found("register.csv");
    CHECK(read_retest_register(heading + bad, found).entries.empty());
    REQUIRE(found.has_errors());
    CHECK(found.all().front().at.line == 2);
    return found.all().front().message;
  };
  CHECK_THAT(message("2026-10-14,", "2026-02-30,"), Contains("is no day"));
  CHECK_THAT(message("October", "May"), Contains("not the month"));
  CHECK_THAT(message(",12,", ",13,"), Contains("not in order"));
  CHECK_THAT(message(",12,", ",-12,"), Contains("no number above 0"));
  CHECK_THAT(message(",20,", ",,"), Contains("strictest limit"));
  CHECK_THAT(message("pass", "passed"), Contains("verdict"));
  CHECK_THAT(message("test,", "toast,"), Contains("toast"));
  Diagnostics found("register.csv");
  CHECK(read_retest_register("date,electrode\n", found).entries.empty());
  CHECK(found.has_errors());

  RegisterEntry endless = entry("2026-10-14", 12.0);
  endless.worst_season_ohm.greatest = std::numeric_limits<double>::infinity();
  CHECK_THROWS_AS(line(endless), DomainError);
  RegisterEntry bound = entry("2026-10-14", 12.0);
  bound.worst_season_ohm.least = 0.0;
  CHECK_THROWS_AS(line(bound), DomainError);
  CHECK_THROWS_AS(line(entry("14.10.2026", 12.0)), DomainError);
  CHECK_THROWS_AS(line(entry("2026-10-14", 12.0), -1), DomainError);
  CHECK_THROWS_AS(retest_withdrawal_line("2026-10-14 12:00", 0), DomainError);
}
