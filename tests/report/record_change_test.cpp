// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/report/record_change.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <support/study_fixture.hpp>

namespace {

using namespace ohmroot;

bool has(const std::vector<report::RecordChange>& changes, const std::string& name, const std::string& before,
         const std::string& after) {
  return std::any_of(changes.begin(), changes.end(), [&](const report::RecordChange& change) {
    return change.name == name && change.before == before && change.after == after;
  });
}

}  // namespace

TEST_CASE("a record is the same as itself", "[report]") {
  const auto record = report::study_document(test_support::not_feasible_study());
  const report::RecordComparison same = report::compare_records(record, record);
  CHECK(same.inputs.empty());
  CHECK(same.numbers.empty());
  CHECK(same.conditions_gone.empty());
  CHECK(same.conditions_new.empty());
  CHECK(same.remarks.empty());
  CHECK(same.exit_code_after == 1);
}

TEST_CASE("what was changed is named with its unit, and what came of it", "[report]") {
  auto first = test_support::not_feasible_study();
  auto second = test_support::not_feasible_study();
  const std::string load = second.site.loads[0].name;
  second.site.loads[0].greatest_current_a = 20;
  second.site.season.reset();
  second.candidates[0].to_earth_ohm.value = 0.5 * first.candidates[0].to_earth_ohm.least;
  second.candidates[0].to_earth_ohm.least *= 1.001;  // below what counts as moved
  second.voided_by.emplace_back("a condition that is new");
  second.verdict = study::Verdict::undecided;
  const report::RecordComparison changed =
      report::compare_records(report::study_document(first), report::study_document(second));
  CHECK(has(changed.inputs, "loads, " + load + ": greatest", "32.0 A", "20.0 A"));
  CHECK(std::any_of(changed.inputs.begin(), changed.inputs.end(),
                    [](const auto& change) { return change.name == "season" && change.after == "-"; }));
  CHECK(changed.numbers.size() == 1);
  CHECK(changed.numbers[0].remark == "outside the interval of the old record");
  CHECK(changed.conditions_new == std::vector<std::string>{"a condition that is new"});
  CHECK(changed.verdict_before == "not feasible");
  CHECK(changed.exit_code_after == 2);
}

TEST_CASE("loads that come and go are said as such", "[report]") {
  auto first = test_support::not_feasible_study();
  auto second = test_support::not_feasible_study();
  second.site.loads.push_back(second.site.loads[0]);
  second.site.loads.back().name = "heat pump";
  const auto one = report::study_document(first);
  const auto two = report::study_document(second);
  CHECK(has(report::compare_records(one, two).inputs, "loads, heat pump", "-", "new"));
  CHECK(has(report::compare_records(two, one).inputs, "loads, heat pump", "there", "gone"));
}

TEST_CASE("only records can be compared, and other versions are said", "[report]") {
  auto record = report::study_document(test_support::not_feasible_study());
  CHECK_THROWS_AS(report::compare_records(record, text::Value(text::Object{})), DomainError);
  auto other = record;
  other.set("program_version", "0.0.0");
  CHECK(report::compare_records(record, other).remarks.size() == 1);
}
