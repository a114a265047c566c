// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/check.hpp>

#include <catch2/catch.hpp>

#include <string>

using namespace ohmroot;
using namespace ohmroot::evidence;

namespace {

struct Evidence {
  Diagnostics diagnostics;
  CheckBook book;
  std::vector<CheckOutcome> outcomes;
};

/// Read and run once for all tests: Catch2 enters a test case again for every section.
const Evidence& evidence_kept() {
  static const Evidence kept = [] {
    Evidence result;
    result.book = read_check_book(OHMROOT_SOURCE_DIR "/reference", result.diagnostics);
    return result;
  }();
  return kept;
}

const std::vector<CheckOutcome>& outcomes_kept() {
  static const std::vector<CheckOutcome> kept = run_checks(evidence_kept().book);
  return kept;
}

}  // namespace

TEST_CASE("The check values are read without a finding") {
  for (const Diagnostic& diagnostic : evidence_kept().diagnostics.all()) {
    FAIL_CHECK(to_text(diagnostic));
  }
  CHECK_FALSE(evidence_kept().book.checks.empty());
}

TEST_CASE("Every check value comes out as it is stated") {
  for (const CheckOutcome& outcome : outcomes_kept()) {
    const Check& check = *outcome.check;
    DYNAMIC_SECTION(check.file << ":" << check.line << " " << check.id) {
      INFO(outcome.why);
      CHECK(outcome.is_as_stated);
    }
  }
}

TEST_CASE(
    "At least 80 checks run, at least 30 of them against a number printed in a publication that was read") {
  const EvidenceTally count = tally(outcomes_kept());
  CHECK(count.run_count >= 80);
  CHECK(count.published_count >= 30);
  CHECK(count.failed_count == 0);
  CHECK(count.passed_count == count.run_count);
  CHECK(count.row_count == count.run_count + count.not_yet_run_count);
}

TEST_CASE("The rows by provenance add up to the rows that were run") {
  const EvidenceTally count = tally(outcomes_kept());
  CHECK(count.published_count + count.second_hand_count + count.from_memory_count +
            count.common_practice_count + count.independent_count + count.same_formula_count ==
        count.run_count);
}

TEST_CASE("Every source in the list is used by a row") {
  for (const Source& source : evidence_kept().book.sources) {
    bool is_used = false;
    for (const Check& check : evidence_kept().book.checks)
      is_used |= check.source_id == source.id;
    INFO(source.id);
    CHECK(is_used);
  }
}
