// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/value.hpp>

#include <string>
#include <vector>

namespace ohmroot::report {

/// One thing that differs between two records.
struct RecordChange {
  std::string name;    ///< "loads, charge point: greatest" or "electrode 'one rod', to earth, worst season"
  std::string before;  ///< with its unit; "-" where there was nothing
  std::string after;
  std::string remark;  ///< what to think of it; empty where it speaks for itself
};

/// What happened from one results.json to another.
struct RecordComparison {
  std::string verdict_before;
  std::string verdict_after;
  int exit_code_after = 0;
  std::vector<RecordChange> inputs;   ///< every key of the input that differs
  std::vector<RecordChange> numbers;  ///< results that moved by more than the records can tell apart
  std::vector<std::string>
      conditions_gone;  ///< standing conditions of the old record that the new one has not
  std::vector<std::string> conditions_new;  ///< and the other way round
  std::vector<std::string> remarks;         ///< other programs' versions, another layout
};

/// A result counts as moved where its value differs by more than this share of it: what is left below is the noise of
/// sampled soils and the error of the field solution.
inline constexpr double unchanged_within_ratio = 0.02;

/// Compares two documents made by study_document(). Throws DomainError where one of them is no such document.
[[nodiscard]] RecordComparison compare_records(const text::Value& before, const text::Value& after);

[[nodiscard]] text::Value comparison_document(const RecordComparison& comparison);

}  // namespace ohmroot::report
