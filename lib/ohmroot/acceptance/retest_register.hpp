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
  std::string date;  ///< 2026-10-14; its month is the one that the season factor counts from
  std::string electrode;
  std::string method;
  Estimate worst_season_ohm;            ///< conductor and ways relied on included
  std::optional<double> strictest_ohm;  ///< limit that held then; none: no limit
  TestVerdict verdict = TestVerdict::cannot_tell;
  int sheet_line = 0;                         ///< of the register; 0: not entered yet
  std::optional<Estimate> measured_ohm = {};  ///< of the electrode on the day; none: not kept
  std::string tester = {};                    ///< who tested; empty: not said
  std::string instrument = {};                ///< empty: not said
};

/// What the lines of a register add up to. Lines are only ever added (text/journal.hpp); a later one may take the
/// place of an earlier one, or withdraw it.
struct RetestRegister {
  std::vector<RegisterEntry> entries;  ///< in force, in the order in which they were entered
  std::vector<int> superseded_lines;

  [[nodiscard]] const RegisterEntry* at(int line) const;  ///< in force; nullptr if it is not
  /// The entry in force that says the same of the same test; nullptr if there is none.
  [[nodiscard]] const RegisterEntry* same_as(const RegisterEntry& entry) const;
  [[nodiscard]] std::vector<RegisterEntry> of_electrode(const std::string& name) const;
};

[[nodiscard]] const std::string& retest_register_header();

/// Reads a whole register; an empty text is an empty one. Errors with their place: another header, a date that is
/// none or not of the month beside it, an interval that is not positive and ordered, a verdict that is none, a line
/// that supersedes what is not in force. A line that a crash cut off is left out, with a warning.
[[nodiscard]] RetestRegister read_retest_register(std::string_view bytes, Diagnostics& diagnostics);

/// Lines to be added, without line end. entered_at: when, as in 2026-10-14T15:30:00. Numbers read back to the same
/// bits; a line end in a name becomes a blank. Throws DomainError for an entry that could not be read back, or a
/// line number that is not positive (replaces_line: 0 for a test that takes no other's place).
[[nodiscard]] std::string retest_line(const RegisterEntry& entry, const std::string& entered_at,
                                      int replaces_line);
[[nodiscard]] std::string retest_withdrawal_line(const std::string& entered_at, int replaces_line);

}  // namespace ohmroot::acceptance
