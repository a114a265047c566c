// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/core/estimate.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::acceptance {

/// One test in the register of an electrode, taken to the worst season so that tests of any month compare.
struct RegisterEntry {
  std::string date;  ///< 2026-10-14
  std::string electrode;
  std::string method;
  Estimate worst_season_ohm;            ///< conductor and ways relied on included
  std::optional<double> strictest_ohm;  ///< limit that held then; none: no limit
  TestVerdict verdict = TestVerdict::cannot_tell;
  int sheet_line = 0;
};

/// The register is a CSV to which lines are added and never changed: heading, and the line of a test, both with the
/// line break. Lines read back to the same numbers.
[[nodiscard]] std::string register_heading();
[[nodiscard]] std::string register_line(const RegisterEntry& entry);

/// Reads a register; a line that was cut off or is none is an error with its place. An empty text is an empty
/// register.
[[nodiscard]] std::vector<RegisterEntry> read_register(std::string_view bytes, Diagnostics& diagnostics);

enum class RetestAlarm {
  none,
  rising,      ///< rises, and may reach the limit later
  limit_near,  ///< may be over the limit before the next test a year from the last
  over_limit,  ///< the upper end of the last test is over the limit
  sudden_fall  ///< less than half of the test before: metal joined to it, or tested with PME connected
};
[[nodiscard]] std::string alarm_name(RetestAlarm alarm);

/// How the resistance goes over the years, and whether it goes towards the limit.
struct RetestTrend {
  int test_count = 0;
  double span_years = 0.0;                      // unit: years
  std::optional<Estimate> yearly_change_ratio;  ///< of the resistance; none below three tests over a year
  std::optional<double> years_to_limit;         // unit: years after the last test, by the middle of the trend
  RetestAlarm alarm = RetestAlarm::none;
  std::string sentence;
};

/// Trend of one electrode's entries, in any order: weighted least squares of ln R over time, each test with its
/// interval and 10 % besides, for what the season factor leaves open (judgement, no source).
/// strictest_ohm: limit today, positive; infinity: none. Throws DomainError for no entry, an interval that is not
/// positive and ordered, or a date that is none.
[[nodiscard]] RetestTrend retest_trend(const std::vector<RegisterEntry>& entries, double strictest_ohm);

}  // namespace ohmroot::acceptance
