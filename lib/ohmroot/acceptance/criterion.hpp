// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>

#include <optional>
#include <string>

namespace ohmroot::acceptance {

/// What the electrode is held against. Limits are of all ways to earth together, in the worst season.
struct Criterion {
  /// Strictest and most lenient limit that apply. [ohm] infinity: none needed; 0: none suffices.
  double strictest_ohm = 0.0;
  double most_lenient_ohm = 0.0;
  double earthing_conductor_ohm = 0.0;
  double relied_on_conductance_per_ohm = 0.0;  ///< of the other ways to earth that are relied on
  /// From the month of the test to the worst season; none: not known for that month.
  struct Season {
    double least_ratio;
    double greatest_ratio;
    std::string basis;
  };
  std::optional<Season> season;
};

/// What the electrode itself may read in the month of the test.
struct AcceptanceValue {
  std::optional<double> accept_below_ohm;  ///< none: the season is not known, or no resistance suffices
  /// Above it the electrode fails even by the most lenient limit; none: no resistance fails.
  std::optional<double> fail_above_ohm;
  std::string expression;  ///< how it came about, in numbers
};

/// (limit of the electrode's branch, less the conductor) over the season factor: the greatest for accepting,
/// the least, or 1 where it is not known (the worst season is never below today), for failing.
/// Throws DomainError unless limits are not negative and ordered, conductor and conductance not negative and
/// finite, and season factors from 0.05 to 20, ordered.
[[nodiscard]] AcceptanceValue acceptance_value(const Criterion& criterion);

/// The electrode in the worst season with its conductor, all ways relied on beside it. [ohm]
/// Nothing where the season is not known.
[[nodiscard]] std::optional<Estimate> worst_season(const Criterion& criterion, const Estimate& electrode_ohm);

enum class TestVerdict { pass, fail, cannot_tell };
[[nodiscard]] std::string verdict_name(TestVerdict verdict);

/// The verdict on a resistance: pass if its greatest is not above the acceptance value, fail if its least is above
/// what the most lenient limit allows. An upper bound alone never fails.
struct Decision {
  TestVerdict verdict;
  std::string why;
};
enum class Known { interval, upper_bound };
[[nodiscard]] Decision decide(const Estimate& electrode_ohm, Known known, const AcceptanceValue& limits);

}  // namespace ohmroot::acceptance
