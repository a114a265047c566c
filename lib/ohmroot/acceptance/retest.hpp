// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/retest_register.hpp>
#include <ohmroot/core/estimate.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::acceptance {

enum class RetestAlarm {
  none,         ///< the tests show no rise, or none that matters: there is no limit
  cannot_tell,  ///< fewer than three tests, or within a year, and the last one alone says nothing
  rising,       ///< rises, and may reach the limit later
  limit_near,   ///< may be over the limit before the next test a year from the last
  over_limit,   ///< the upper end of the last test is over the limit
  sudden_rise,  ///< more than double the test before: a clamp, conductor or coupling has come off or corroded
  sudden_fall   ///< less than half of the test before: metal joined to it, or tested with PME connected
};
[[nodiscard]] std::string alarm_name(RetestAlarm alarm);
/// Whether something is to be done before the next yearly test: all but none, cannot_tell and rising.
[[nodiscard]] bool is_pressing(RetestAlarm alarm);

/// Whether a test was judged by the limit that holds now; to the digits that are printed. strictest_ohm: infinity: none.
[[nodiscard]] bool is_limit_alike(const RegisterEntry& entry, double strictest_ohm);

/// When the trend meets the limit.
struct LimitCrossing {
  double years_ahead = 0.0;        // unit: years after the last test
  double least_years_ahead = 0.0;  // unit: years after the last test
  /// None: beyond a thousand years
  std::optional<double> greatest_years_ahead;  // unit: years after the last test
};

/// The trend at one time.
struct TrendPoint {
  double calendar_years = 0.0;  // unit: years, of the calendar (2026.5: the middle of 2026)
  Estimate worst_season_ohm;    ///< of the line, 90 %
};

/// How the resistance goes over the years, and whether it goes towards the limit.
struct RetestTrend {
  int test_count = 0;
  double span_years = 0.0;                      // unit: years
  std::optional<Estimate> yearly_change_ratio;  ///< of the resistance; none below three tests over a year
  double scatter_ratio = 1.0;  ///< of the tests about the line to what their intervals allow; at least 1
  std::optional<LimitCrossing> crossing;  ///< only of a rise that the tests show, towards a limit
  /// The trend stays below the limit that long, with 95 %; none: no trend, no limit, or for more than 1,000 years
  std::optional<double> sure_years_ahead;  // unit: years after the last test
  std::vector<TrendPoint> line;  ///< from the first test to three years after the last; empty: no trend
  RetestAlarm alarm = RetestAlarm::none;
  std::string sentence;
};

/// Trend of one electrode's entries, in any order.
///
/// A line through ln R over time by weighted least squares: corrosion and drying change a resistance by a share of
/// itself. The variance of a test is that of its interval, and (10 %)^2 besides for what the season factor leaves
/// open of the weather of that year (judgement, no source). Tests that were all made in one month share the error of
/// its season factor: it widens the level of the line and not its slope. Tests that scatter more than that about the line widen
/// everything by the root of chi-squared over its degrees of freedom (R. T. Birge, Phys. Rev. 40, 1932, 207); tests
/// that scatter less narrow nothing. When the limit is met, with its 90 % interval, follows from the same line
/// (E. C. Fieller, J. R. Stat. Soc. B 16, 1954, 175).
///
/// The alarm is the first of these that holds. over_limit: the upper end of the last test is over the limit.
/// sudden_fall, sudden_rise: the last test is below half, or above double, the one before (judgement). limit_near:
/// the line rises (95 %, one-sided), and in a year from the last test its upper end, the 10 % included, is over the
/// limit. rising: it rises, but the limit is farther off. A steady electrode is so called rising in one register of
/// twenty. Fewer than three tests, or tests within a year, make no trend: cannot_tell.
///
/// Trend and alarm are held against today's limit; where a test was judged by another, the sentence says so.
///
/// strictest_ohm: limit today, not negative; infinity: none; 0: no resistance suffices. Throws DomainError for no
/// entry, an interval that is not positive and ordered, or a date that is none.
[[nodiscard]] RetestTrend retest_trend(const std::vector<RegisterEntry>& entries, double strictest_ohm);

}  // namespace ohmroot::acceptance
