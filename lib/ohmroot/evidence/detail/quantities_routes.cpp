// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>
#include <ohmroot/routes/conductors.hpp>
#include <ohmroot/routes/separation.hpp>
#include <ohmroot/routes/share_curve.hpp>
#include <ohmroot/routes/tt.hpp>
#include <ohmroot/routes/tt_fault.hpp>

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

electrode::Rod rod_in(const Given& given) {
  return {given.number("length_m"), given.number("diameter_m")};
}

/// Shares of the surface at distances along x from the origin.
text::Value shares_of(const routes::PmeMetal& metal, const Given& given) {
  const routes::ShareLine line{soil_in(given), {metal}, {{0.0, 0.0}, 0.0}, routes::SoilSurface{}};
  return list_of(routes::share_curve(line, given.numbers("distance_m")).share_ratio);
}

/// Along y, its middle at the origin.
routes::PmeMetal line_in(const Given& given) {
  const double half_m = 0.5 * given.number("length_m");
  return routes::line_metal("line", {{0.0, -half_m}, {0.0, half_m}},
                            {given.number("diameter_m"), given.number("depth_m")});
}

text::Value rod_table_in(const Given& given) {
  std::vector<double> shares;
  for (const double distance_m : given.numbers("distance_m"))
    shares.push_back(routes::thin_rod_share_ratio(rod_in(given), distance_m));
  return list_of(shares);
}

text::Value practice_list() {
  std::vector<double> distances_m;
  for (const routes::PracticeSeparation& figure : routes::practice_separations())
    distances_m.push_back(figure.distance_m);
  return list_of(distances_m);
}

routes::TtFault fault_in(const Given& given) {
  return routes::tt_fault({given.number("nominal_v"),
                           exactly(given.number("resistance_ohm"), "as stated in the row"),
                           given.number("source_earth_ohm")});
}

text::Value bonds_in(const Given& given) {
  std::vector<double> bonds;
  for (const double neutral_mm2 : given.numbers("neutral_mm2"))
    bonds.push_back(1e6 * routes::pme_bond_m2(1e-6 * neutral_mm2));
  return list_of(bonds);
}

double disconnection_in(const Given& given) {
  return routes::disconnection_time_s(given.text_or("earthing", "") == "TT" ? routes::EarthingArrangement::tt
                                                                            : routes::EarthingArrangement::tn,
                                      given.text_or("circuit", "") == "final"
                                          ? routes::CircuitKind::final_circuit
                                          : routes::CircuitKind::distribution);
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
      {"routes.tt.fault_current_a", "A", "nominal_v, resistance_ohm, source_earth_ohm", Comparison::equal,
       [](const Given& given) -> text::Value { return fault_in(given).current_a.value; }},
      {"routes.tt.fault_touch_v", "V", "nominal_v, resistance_ohm, source_earth_ohm", Comparison::equal,
       [](const Given& given) -> text::Value { return fault_in(given).touch_v.value; }},
      {"routes.tt.fault_neutral_rise_v", "V", "nominal_v, resistance_ohm, source_earth_ohm",
       Comparison::equal,
       [](const Given& given) -> text::Value { return fault_in(given).neutral_rise_v.value; }},
      {"routes.least_line_earth_ohm", "ohm", "source_earth_ohm, nominal_v", Comparison::equal,
       [](const Given& given) -> text::Value {
         return routes::least_line_earth_ohm({given.number("source_earth_ohm"), given.number("nominal_v")});
       }},
      {"routes.source_earth_ratio", "1", "nominal_v", Comparison::equal,
       [](const Given& given) -> text::Value {
         return 1.0 / routes::least_line_earth_ohm({1.0, given.number("nominal_v")});
       }},
      {"routes.disconnection_time_s", "s", "earthing, circuit", Comparison::equal,
       [](const Given& given) -> text::Value { return disconnection_in(given); }},
      {"routes.pme_bond_mm2", "mm2", "neutral_mm2", Comparison::equal, bonds_in},
      {"routes.adiabatic_mm2", "mm2", "current_a, time_s, k", Comparison::equal,
       [](const Given& given) -> text::Value {
         return 1e6 *
                routes::adiabatic_m2({given.number("current_a"), given.number("time_s"), given.number("k")});
       }},
      {"routes.separation.rod_table_share_ratio", "1", "length_m, diameter_m, distance_m", Comparison::equal,
       rod_table_in},
      {"routes.separation.rod_share_ratio", "1", "length_m, diameter_m, distance_m, layers",
       Comparison::equal,
       [](const Given& given) {
         return shares_of(routes::rod_metal("rod", rod_in(given), {0.0, 0.0}), given);
       }},
      {"routes.separation.line_share_ratio", "1", "length_m, diameter_m, depth_m, distance_m, layers",
       Comparison::equal, [](const Given& given) { return shares_of(line_in(given), given); }},
      {"routes.separation.practice_m", "m", "", Comparison::equal,
       [](const Given&) { return practice_list(); }},
  };
}

}  // namespace ohmroot::evidence::detail
