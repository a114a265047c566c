// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <cmath>
#include <limits>

namespace ohmroot::acceptance {
namespace {

std::string ohms(double value_ohm) {
  return std::isinf(value_ohm) ? "no limit" : format_quantity(value_ohm, Dimension::resistance);
}

void require_valid(const Criterion& criterion) {
  if (!(criterion.strictest_ohm >= 0.0))
    throw DomainError("strictest_ohm", criterion.strictest_ohm, "ohm", "not negative");
  if (!(criterion.most_lenient_ohm >= criterion.strictest_ohm))
    throw DomainError("most_lenient_ohm", criterion.most_lenient_ohm, "ohm", "not below the strictest limit");
  require_not_negative("earthing_conductor_ohm", criterion.earthing_conductor_ohm, "ohm");
  require_not_negative("relied_on_conductance_per_ohm", criterion.relied_on_conductance_per_ohm, "1/ohm");
  if (!criterion.season) return;
  require_within("season.least_ratio", criterion.season->least_ratio, "1", {0.05, 20.0});
  require_within("season.greatest_ratio", criterion.season->greatest_ratio, "1",
                 {criterion.season->least_ratio, 20.0});
}

/// What the electrode's own branch may have so that all ways together keep the limit; infinite if the other
/// ways keep it alone.
double branch_limit_ohm(const Criterion& criterion, double limit_ohm) {
  if (limit_ohm == 0.0) return 0.0;
  const double missing_per_ohm = 1.0 / limit_ohm - criterion.relied_on_conductance_per_ohm;
  return missing_per_ohm > 0.0 ? 1.0 / missing_per_ohm : std::numeric_limits<double>::infinity();
}

std::optional<double> own_limit_ohm(const Criterion& criterion, double limit_ohm, double season_ratio) {
  const double own_ohm =
      (branch_limit_ohm(criterion, limit_ohm) - criterion.earthing_conductor_ohm) / season_ratio;
  if (own_ohm > 0.0) return own_ohm;
  return std::nullopt;
}

}  // namespace

AcceptanceValue acceptance_value(const Criterion& criterion) {
  require_valid(criterion);
  AcceptanceValue value;
  const std::string conductor = ohms(criterion.earthing_conductor_ohm);
  if (criterion.season) {
    value.accept_below_ohm =
        own_limit_ohm(criterion, criterion.strictest_ohm, criterion.season->greatest_ratio);
    value.expression =
        value.accept_below_ohm
            ? fmt::format("(strictest limit of this branch {} - conductor {}) / season factor {} = {}",
                          ohms(branch_limit_ohm(criterion, criterion.strictest_ohm)), conductor,
                          format_number(criterion.season->greatest_ratio, 3), ohms(*value.accept_below_ohm))
            : fmt::format(
                  "strictest limit of this branch {} is not above the conductor's {}: no resistance of "
                  "the electrode suffices",
                  ohms(branch_limit_ohm(criterion, criterion.strictest_ohm)), conductor);
  } else {
    value.expression =
        "no season factor is known from the month of the test to the worst season, so there is no "
        "acceptance value";
  }
  // In the worst season the resistance is not below today's: without a factor a failure today stays one.
  const double least_ratio = criterion.season ? criterion.season->least_ratio : 1.0;
  const auto fails = own_limit_ohm(criterion, criterion.most_lenient_ohm, least_ratio);
  if (!fails)
    value.fail_above_ohm = 0.0;
  else if (std::isfinite(*fails))
    value.fail_above_ohm = fails;
  return value;
}

std::optional<Estimate> worst_season(const Criterion& criterion, const Estimate& electrode_ohm) {
  require_valid(criterion);
  if (!criterion.season) return std::nullopt;
  const auto total_ohm = [&](double own_ohm, double season_ratio) {
    const double branch_ohm = own_ohm * season_ratio + criterion.earthing_conductor_ohm;
    return branch_ohm / (1.0 + branch_ohm * criterion.relied_on_conductance_per_ohm);
  };
  const Criterion::Season& season = *criterion.season;
  return Estimate{
      total_ohm(electrode_ohm.value, std::sqrt(season.least_ratio * season.greatest_ratio)),
      total_ohm(electrode_ohm.least, season.least_ratio),
      total_ohm(electrode_ohm.greatest, season.greatest_ratio),
      fmt::format(
          "electrode as tested times season factor {} to {} ({}), earthing conductor and ways relied on "
          "included",
          format_number(season.least_ratio, 3), format_number(season.greatest_ratio, 3), season.basis)};
}

Decision decide(const Estimate& electrode_ohm, Known known, const AcceptanceValue& limits) {
  const bool is_bound = known == Known::upper_bound;
  const std::string found = is_bound ? fmt::format("at most {}", ohms(electrode_ohm.greatest))
                                     : fmt::format("{} ({} to {})", ohms(electrode_ohm.value),
                                                   ohms(electrode_ohm.least), ohms(electrode_ohm.greatest));
  if (!is_bound && limits.fail_above_ohm && electrode_ohm.least > *limits.fail_above_ohm)
    return {TestVerdict::fail,
            fmt::format("Fail: the electrode has {}, above the {} that the most lenient limit allows today.",
                        found, ohms(*limits.fail_above_ohm))};
  if (!limits.accept_below_ohm)
    return {TestVerdict::cannot_tell,
            fmt::format("Cannot tell: the electrode has {}, and there is no acceptance value: {}.", found,
                        limits.expression)};
  if (electrode_ohm.greatest <= *limits.accept_below_ohm)
    return {TestVerdict::pass,
            fmt::format("Pass: the electrode has {}, within the acceptance value of {} for the month.", found,
                        ohms(*limits.accept_below_ohm))};
  return {
      TestVerdict::cannot_tell,
      fmt::format("Cannot tell: the electrode has {}, neither wholly within the acceptance value of {} nor "
                  "wholly above what the most lenient limit allows.",
                  found, ohms(*limits.accept_below_ohm))};
}

std::string verdict_name(TestVerdict verdict) {
  switch (verdict) {
  case TestVerdict::pass:
    return "pass";
  case TestVerdict::fail:
    return "fail";
  case TestVerdict::cannot_tell:
    return "cannot tell";
  }
  throw InternalError("a verdict without a name");
}

}  // namespace ohmroot::acceptance
