// SPDX-License-Identifier: MIT
#include <ohmroot/report/handover_pages.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <support/study_fixture.hpp>

namespace {

using namespace ohmroot;

std::string page_of(const std::vector<report::HandoverPage>& pages, const std::string& file) {
  const auto found =
      std::find_if(pages.begin(), pages.end(), [&](const auto& page) { return page.file == file; });
  REQUIRE(found != pages.end());
  return found->html;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

const acceptance::AcceptanceValue at_most_12{12.0, 20.0, "18 ohm / 1.5 = 12 ohm"};

report::HandoverTest test_with(acceptance::TestVerdict verdict, const std::string& why) {
  report::HandoverTest test;
  test.date = "2026-09-24";
  test.electrode = test_support::not_feasible_study().site.candidates[0].name;
  test.method = "fall of potential";
  test.verdict = verdict;
  test.why = why;
  test.resistance_ohm = Estimate{5.0, 4.9, 5.1, "test"};
  return test;
}

void permit_all(study::StudyResult& result) {
  result.site.routes.permitted.fill(routes::Answer::yes);
}

}  // namespace

TEST_CASE("nothing untested or failed is handed over as accepted", "[report]") {
  auto result = test_support::not_feasible_study();
  permit_all(result);
  const auto untested = report::handover_pages(result, at_most_12, std::nullopt);
  REQUIRE(untested.size() == 5);
  CHECK(has(page_of(untested, "card.html"), "NOT ACCEPTED"));
  CHECK(has(page_of(untested, "client.html"), "not tested yet"));
  for (const auto verdict : {acceptance::TestVerdict::fail, acceptance::TestVerdict::cannot_tell}) {
    const auto pages =
        report::handover_pages(result, at_most_12, test_with(verdict, "It reads the network."));
    CHECK(has(page_of(pages, "card.html"), "NOT ACCEPTED"));
    CHECK_FALSE(has(page_of(pages, "card.html"), "Tested and accepted"));
    CHECK(has(page_of(pages, "certificate.html"), "It reads the network."));
  }
  const auto passed =
      report::handover_pages(result, at_most_12, test_with(acceptance::TestVerdict::pass, "Pass: 5 ohm."));
  CHECK(has(page_of(passed, "card.html"), "Tested and accepted"));
}

TEST_CASE("the installer's sheet is closed until every permission is a yes", "[report]") {
  auto result = test_support::not_feasible_study();
  for (std::size_t i = 0; i < study::permissions.size(); ++i) {
    permit_all(result);
    result.site.routes.permitted.at(i) = i % 2 == 0 ? routes::Answer::no : routes::Answer::not_known;
    const std::string sheet =
        page_of(report::handover_pages(result, at_most_12, std::nullopt), "installer.html");
    CHECK(has(sheet, "NOT TO BE USED YET"));
    CHECK(has(sheet, std::string(study::permissions.at(i).question)));
    CHECK_FALSE(has(sheet, "<svg"));
    CHECK_FALSE(has(sheet, "12.0"));
  }
  permit_all(result);
  const std::string open =
      page_of(report::handover_pages(result, at_most_12, std::nullopt), "installer.html");
  CHECK(has(open, "<svg"));
  CHECK(has(open, "12.0"));
  CHECK(has(open, "stand clear"));
}

TEST_CASE("what somebody wrote is text on the pages, never markup", "[report]") {
  auto result = test_support::not_feasible_study();
  permit_all(result);
  result.site.title = "<script>x</script>";
  result.site.candidates[0].name = "<b>rod</b>";
  auto test = test_with(acceptance::TestVerdict::pass, "Pass.");
  test.electrode = result.site.candidates[0].name;
  for (const report::HandoverPage& page : report::handover_pages(result, at_most_12, test)) {
    CHECK_FALSE(has(page.html, "<script>"));
    CHECK_FALSE(has(page.html, "<b>rod"));
  }
}

TEST_CASE("the card lists the tests in the register and says their trend", "[report]") {
  auto test = test_with(acceptance::TestVerdict::pass, "Pass.");
  acceptance::RegisterEntry entry;
  entry.date = "2025-10-01";
  entry.electrode = "<b>rod</b>";
  entry.worst_season_ohm = {8.0, 7.0, 9.0, {}};
  entry.verdict = acceptance::TestVerdict::pass;
  entry.strictest_ohm = 10.0;
  test.registered_tests = {entry};
  test.trend = "Whether it rises <cannot> be told.";
  const auto pages = report::handover_pages(test_support::not_feasible_study(), at_most_12, test);
  CHECK(has(page_of(pages, "card.html"), "2025-10-01: 8.00"));
  CHECK(has(page_of(pages, "card.html"), "pass by the limit of 10.0"));
  CHECK(has(page_of(pages, "card.html"), "&lt;cannot&gt; be told"));
}

TEST_CASE("pages carry standing conditions, warning signs and retest", "[report]") {
  auto result = test_support::not_feasible_study();
  const auto pages = report::handover_pages(result, at_most_12, std::nullopt);
  REQUIRE_FALSE(result.voided_by.empty());
  CHECK(has(page_of(pages, "client.html"), "emergency number"));
  CHECK(has(page_of(pages, "card.html"), "Test again"));
  CHECK(has(page_of(pages, "distributor.html"), "TN-C-S"));
}
