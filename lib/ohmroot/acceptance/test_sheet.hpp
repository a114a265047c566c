// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/acceptance/other_method.hpp>
#include <ohmroot/core/diagnostic.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::acceptance {

/// A test as it was written down on site.
struct TestSheet {
  std::optional<OtherMethod> other_method;  ///< none: fall of potential
  std::string date;                         ///< 2026-10-14
  Position date_at;                         ///< of the date in the sheet
  int month = 0;                            ///< 1 to 12
  std::string electrode;                    ///< name of the candidate as built; empty: not said
  bool is_from_first_rod = false;           ///< distances from the first rod, not from the middle
  StakeTest stakes;                         ///< of a fall-of-potential test; safe working of any
  OtherReading other;
  std::optional<Criterion::Season> season;  ///< from this month to the worst season, if the sheet says so
  std::string tester;                       ///< who tested; empty: not said
  std::string instrument;                   ///< empty: not said
  std::vector<std::string> notes;           ///< lines that are none of the known ones
};

/// Reads a test sheet (CSV; text/csv.hpp cuts it into cells): lines "key, value" above the table (test_sheet_keys()),
/// then a heading and one row per reading: distance of the current stake, of the potential stake, R, and the
/// angle between them if there is one. Lengths in m or ft, R in ohm, in the heading's brackets or in the cell.
/// Errors, all at once, with place and what is allowed: no date, unknown method, a value that is none, no table, a
/// column missing, a cell that is no number or out of range, no reading. An answer that is missing is 'not known'.
/// Nothing if there are errors.
[[nodiscard]] std::optional<TestSheet> read_test_sheet(std::string_view bytes, Diagnostics& diagnostics);

/// The lines above the table: key, and what it holds.
struct SheetKey {
  std::string_view key;
  std::string_view holds;
};
[[nodiscard]] std::vector<SheetKey> test_sheet_keys();

/// "October" for 10. Throws DomainError unless from 1 to 12.
[[nodiscard]] std::string month_name(int month);

/// Year, month and day of "2026-10-14"; nothing unless it is a day of the calendar.
struct Day {
  int year;
  int month;
  int day;
};
[[nodiscard]] std::optional<Day> day_of(std::string_view date);

}  // namespace ohmroot::acceptance
