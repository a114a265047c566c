// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/tt_fault.hpp>
#include <ohmroot/routes/tt_selectivity.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::routes {
namespace {

constexpr double selective_ratio = 3.0;
constexpr double rounding_ratio = 1.0 - 1e-9;  // 0.3 / 0.1 is not quite 3

}  // namespace

SelectivityCheck check_selectivity(const DevicesInLine& devices) {
  const double upstream_a = devices.upstream.rated_residual_current_a;
  const double downstream_a = devices.downstream.rated_residual_current_a;
  require_positive("devices.upstream.rated_residual_current_a", upstream_a, "A");
  require_positive("devices.downstream.rated_residual_current_a", downstream_a, "A");
  require_positive("devices.resistance_ohm", devices.resistance_ohm, "ohm");
  require_positive("devices.limit_v", devices.limit_v, "V");
  SelectivityCheck check{upstream_a / downstream_a,
                         devices.limit_v / upstream_a,
                         disconnection_time_s(EarthingArrangement::tt, CircuitKind::distribution),
                         disconnection_time_s(EarthingArrangement::tt, CircuitKind::final_circuit),
                         {}};
  const double greatest_v = devices.resistance_ohm * std::max(upstream_a, downstream_a);
  const bool is_selective =
      devices.upstream.is_time_delayed && check.rating_ratio >= rounding_ratio * selective_ratio;
  const bool is_low_enough = greatest_v <= devices.limit_v;
  check.judgement.support = is_selective && is_low_enough ? Support::supports : Support::contradicts;
  check.judgement.finding = fmt::format(
      "upstream RCD {}, rated {:.4g} times the one downstream, against {:.4g} (from memory) and a time "
      "delay; "
      "R_A times the larger rating is {}, against {}; longest disconnection {:.4g} s upstream and {:.4g} s "
      "downstream",
      devices.upstream.is_time_delayed ? "time-delayed" : "without a time delay", check.rating_ratio,
      selective_ratio, format_quantity(greatest_v, Dimension::voltage),
      format_given(devices.limit_v, Dimension::voltage), check.upstream_disconnection_s,
      check.downstream_disconnection_s);
  if (!is_selective)
    check.judgement.next_step = "choose a time-delayed upstream RCD of at least three times the rating";
  else if (!is_low_enough)
    check.judgement.next_step = fmt::format(
        "bring R_A to {} or less", format_quantity(check.upstream_greatest_ohm, Dimension::resistance));
  return check;
}

}  // namespace ohmroot::routes
