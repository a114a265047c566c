// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/test_sheet.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <sounding/random_soil.hpp>

using namespace ohmroot;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

const std::string good = "# invented\n"
                         "method,fall of potential\n"
                         "date,2026-10-14\n"
                         "services searched,yes\n"
                         "MET proved,no\n"
                         "current clamped,not known\n"
                         "weather,dry\n"
                         "measured from,first rod\n"
                         "current stake resistance,500 ohm\n"
                         "stray voltage,0.4 V\n"
                         "season factor least,1.1\n"
                         "season factor greatest,1.5\n"
                         "current stake (m),potential stake (m),R (ohm),angle (deg)\n"
                         "40,20,21.5,\n"
                         "40,24,21.9,\n"
                         "40,40,22.0,29\n";

std::vector<std::string> problems(const std::string& text) {
  Diagnostics found("test.csv");
  const auto sheet = read_test_sheet(text, found);
  CHECK(sheet.has_value() != found.has_errors());
  std::vector<std::string> messages;
  for (const Diagnostic& diagnostic : found.all())
    messages.push_back(to_text(diagnostic));
  return messages;
}

std::string all_problems(const std::string& text) {
  std::string all;
  for (const std::string& message : problems(text))
    all += message + "\n";
  return all;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("a test sheet as written on site", "[acceptance]") {
  Diagnostics found("test.csv");
  const auto sheet = read_test_sheet(good, found);
  REQUIRE(sheet);
  CHECK(found.all().empty());
  CHECK_FALSE(sheet->other_method);
  CHECK(sheet->month == 10);
  CHECK(sheet->is_from_first_rod);
  CHECK(sheet->stakes.safe_working.services_searched == Answer::yes);
  CHECK(sheet->stakes.safe_working.met_proved == Answer::no);
  CHECK(sheet->stakes.safe_working.isolated == Answer::not_known);  // not written down
  CHECK(*sheet->stakes.current_stake_ohm == 500.0);
  CHECK(sheet->season->greatest_ratio == 1.5);
  CHECK(sheet->notes == std::vector<std::string>{"weather: dry"});
  REQUIRE(sheet->stakes.readings.size() == 3);
  CHECK(sheet->stakes.readings[1].potential_distance_m == 24.0);
  CHECK(sheet->stakes.readings[1].resistance_ohm == 21.9);
  CHECK(sheet->stakes.readings[1].sheet_line == 15);
  CHECK(sheet->stakes.readings[2].between_deg == 29.0);
}

TEST_CASE("feet, kilohms, decimal commas and cells with units are read", "[acceptance]") {
  Diagnostics found("test.csv");
  const auto sheet =
      read_test_sheet("date;2026-10-14\nC (ft);P (ft);R (kohm)\n100;61,8;0,0215\n100;50;21,5 ohm\n", found);
  for (const auto& diagnostic : found.all())
    INFO(to_text(diagnostic));
  REQUIRE(sheet);
  CHECK(sheet->stakes.readings[0].current_distance_m == Approx(30.48));
  CHECK(sheet->stakes.readings[0].resistance_ohm == Approx(21.5));
  CHECK(sheet->stakes.readings[1].resistance_ohm == Approx(21.5));
}

TEST_CASE("a loop sheet holds one reading and its circuit", "[acceptance]") {
  Diagnostics found("test.csv");
  const auto sheet = read_test_sheet("method,loop\ndate,2026-10-14\npme connected,no\nreturn path,0.8 ohm\n"
                                     "return path least,0.5 ohm\nreturn path greatest,1.2 ohm\nR (ohm)\n25\n",
                                     found);
  REQUIRE(sheet);
  CHECK(sheet->other_method == OtherMethod::loop);
  CHECK(sheet->other.reading_ohm == 25.0);
  CHECK(sheet->other.is_pme_connected == Answer::no);
  CHECK(sheet->other.return_path_ohm->least == 0.5);
  CHECK_THAT(all_problems("method,clamp\ndate,2026-10-14\nR (ohm)\n25\n26\n"), Contains("one reading"));
}

TEST_CASE("everything wrong with a sheet is said at once, with its place", "[acceptance]") {
  const std::string bad =
      "method,guess\ndate,14/10/2026\nservices searched,maybe\nstray voltage,0.4\n"
      "current stake (m),potential stake (m),R (ohm)\n40,x,21\n40,20,-3\n40,24,>1999\n40,40,22\n";
  const std::string all = all_problems(bad);
  CHECK_THAT(all, Contains("test.csv:1:8: error: method: method 'guess' is not known"));
  CHECK_THAT(all, Contains("test.csv:2:6: error: date: '14/10/2026' is no date"));
  CHECK_THAT(all, Contains("'maybe' is no answer"));
  CHECK_THAT(all, Contains("stray voltage") && Contains("no unit"));
}

TEST_CASE("stakes in the wrong columns are said, and a date that is none is said once", "[acceptance]") {
  const std::string swapped = all_problems("date,2026-10-14\ncurrent stake (m),potential stake (m),R (ohm)\n"
                                           "20,40,21\n40,24,21\n");
  CHECK_THAT(swapped, Contains("test.csv:3:1: warning") && Contains("exchanged"));
  CHECK_THAT(swapped, !Contains("test.csv:4"));
  const std::string dated =
      all_problems("date,14.10.2026\ncurrent stake (m),potential stake (m),R (ohm)\n40,24,21\n");
  CHECK_THAT(dated, Contains("is no date") && !Contains("no date of the test"));
}

TEST_CASE("everything wrong with a table is said at once", "[acceptance]") {
  const std::string all = all_problems("date,2026-10-14\ncurrent stake (m),potential stake (m),R "
                                       "(ohm)\n40,x,21\n40,20,-3\n40,24,>1999\n40,40,22\n");
  CHECK_THAT(all, Contains("test.csv:3:4: error: potential stake: 'x' is no number"));
  CHECK_THAT(all, Contains("R: -3 ohm is outside"));
  CHECK_THAT(all, Contains("over range") && Contains("no contact"));
  CHECK_THAT(all, Contains("same place"));
  CHECK_THAT(all_problems("date,2026-10-14\n"), Contains("no table"));
  CHECK_THAT(all_problems("date,2026-10-14\nP (m),R (ohm)\n1,2\n"), Contains("no column 'current stake"));
  CHECK_THAT(all_problems("C (m),P (m),R (ohm)\n40,20,1\n"), Contains("no date"));
  CHECK_THAT(all_problems(replaced(good, "season factor least,1.1\n", "")), Contains("one end"));
  CHECK_THAT(all_problems(replaced(good, "R (ohm)", "R (volt)")), Contains("'volt' is not known"));
}

TEST_CASE("a misspelt line is said, and its answer stays not known", "[acceptance]") {
  Diagnostics found("test.csv");
  const auto sheet = read_test_sheet(replaced(good, "services searched", "service searched"), found);
  REQUIRE(sheet);
  CHECK(sheet->stakes.safe_working.services_searched == Answer::not_known);
  REQUIRE(found.all().size() == 1);
  CHECK_THAT(to_text(found.all().front()), Contains("did you mean 'services searched'"));
}

TEST_CASE("a sheet spoilt at random is read or refused with a reason, never anything else", "[acceptance]") {
  test::Random random(31);
  const std::string pieces = ",;\n\t\"|.-0159eR()ohm \xff";
  for (int round = 0; round < 3000; ++round) {
    std::string text = good;
    for (std::size_t slip = 0; slip < 1 + random.below(4); ++slip) {
      const std::size_t at = random.below(text.size());
      if (random.uniform() < 0.5)
        text[at] = pieces[random.below(pieces.size())];
      else
        text.erase(at, 1 + random.below(5));
    }
    Diagnostics found("test.csv");
    const auto sheet = read_test_sheet(text, found);
    REQUIRE(sheet.has_value() != found.has_errors());
    if (!sheet) continue;
    for (const StakeReading& reading : sheet->stakes.readings)
      REQUIRE((reading.resistance_ohm >= 1e-3 && reading.current_distance_m >= 0.1));
  }
}

TEST_CASE("days of the calendar", "[acceptance]") {
  CHECK(day_of("2028-02-29"));
  CHECK_FALSE(day_of("2027-02-29"));
  CHECK_FALSE(day_of("2027-2-9"));
  CHECK_FALSE(day_of("20270209--"));
  CHECK(month_name(10) == "October");
  CHECK(test_sheet_keys().size() > 20);
}
