// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/routes/tt.hpp>

#include <cmath>

namespace ohmroot::evidence::detail {

namespace {

routes::TtCheck tt_in(const Given& given) {
  return routes::check_tt(exactly(given.number_or("resistance_ohm", 1.0), "as stated in the row"),
                          given.number_or("limit_v", 50.0));
}

routes::ResidualDeviceCheck device_in(const Given& given) {
  const double rated_a = given.number("rated_residual_current_a");
  for (const routes::ResidualDeviceCheck& device : tt_in(given).devices) {
    if (std::abs(device.rated_residual_current_a - rated_a) < 1e-9) {
      return device;
    }
  }
  throw NotComputable("no device of that rated residual current is checked");
}

text::Value yes_or_no(bool value) {
  return value ? "yes" : "no";
}

}  // namespace

std::vector<Quantity> routes_quantities() {
  return {
      {"routes.tt.greatest_resistance_ohm", "ohm", "rated_residual_current_a, limit_v?", Comparison::equal,
       [](const Given& given) -> text::Value { return device_in(given).greatest_resistance_ohm; }},
      {"routes.tt.product_v", "V", "resistance_ohm, rated_residual_current_a, limit_v?", Comparison::equal,
       [](const Given& given) -> text::Value { return device_in(given).product_v; }},
      {"routes.tt.is_met", "yes or no", "resistance_ohm, rated_residual_current_a, limit_v?",
       Comparison::equal, [](const Given& given) { return yes_or_no(device_in(given).is_met); }},
      {"routes.tt.greatest_rated_current_a", "A", "resistance_ohm, limit_v?", Comparison::equal,
       [](const Given& given) -> text::Value { return tt_in(given).greatest_rated_current_a; }},
      {"routes.tt.is_stable", "yes or no", "resistance_ohm", Comparison::equal,
       [](const Given& given) { return yes_or_no(tt_in(given).is_stable); }},
  };
}

}  // namespace ohmroot::evidence::detail
