// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/tt.hpp>

#include <fmt/format.h>

#include <array>

namespace ohmroot::routes {

namespace {

constexpr std::array<double, 4> rated_residual_current_a{0.03, 0.1, 0.3, 0.5};
constexpr double stable_ohm = 200.0;
constexpr double usual_limit_v = 50.0;

std::string stability_sentence(double resistance_ohm) {
  const std::string shown = format_number(resistance_ohm, 3);
  if (resistance_ohm <= stable_ohm) {
    return fmt::format("{} ohm is not above {} ohm, beyond which a resistance may not stay stable; as low as "
                       "practicable is better still",
                       shown, stable_ohm);
  }
  return fmt::format(
      "{} ohm is above {} ohm and may not stay stable as the soil dries or freezes: lengthen the "
      "electrode or add to it, whatever the product with the residual current says",
      shown, stable_ohm);
}

std::vector<std::string> sources(double limit_v) {
  std::vector<std::string> source{
      "R_A times I_dn against 50 V: BS 7671:2018 regulation 411.5.3, quoted second-hand",
      "greatest resistances at 30, 100 and 300 mA: BS 7671:2018 Table 41.5, quoted second-hand; at 500 mA "
      "from "
      "memory",
      "200 ohm as the bound of stability: BS 7671:2018 note to Table 41.5, quoted second-hand",
      "disconnection in the time of Table 41.1 is asked for besides and is not judged here"};
  if (limit_v != usual_limit_v) {
    source.push_back(fmt::format("{:.4g} V in place of 50 V was chosen for this check", limit_v));
  }
  return source;
}

}  // namespace

TtCheck check_tt(const Estimate& resistance_ohm, double limit_v) {
  require_positive("resistance_ohm.greatest", resistance_ohm.greatest, "ohm");
  require_positive("limit_v", limit_v, "V");
  TtCheck check;
  check.limit_v = limit_v;
  check.resistance_ohm = resistance_ohm;
  for (const double current_a : rated_residual_current_a) {
    const double greatest_ohm = limit_v / current_a;
    check.devices.push_back({current_a, greatest_ohm, resistance_ohm.greatest * current_a,
                             resistance_ohm.greatest <= greatest_ohm});
  }
  check.greatest_rated_current_a = limit_v / resistance_ohm.greatest;
  check.is_stable = resistance_ohm.greatest <= stable_ohm;
  check.stability_advice = stability_sentence(resistance_ohm.greatest);
  check.source = sources(limit_v);
  return check;
}

}  // namespace ohmroot::routes
