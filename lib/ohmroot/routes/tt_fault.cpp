// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/tt_fault.hpp>

#include <fmt/format.h>

namespace ohmroot::routes {
namespace {

constexpr double limit_v = 50.0;
constexpr double instantaneous_a = 30.0;      // 6 A type B, at five times
constexpr double least_voltage_ratio = 0.95;  // C_min

/// "227.7 V (225.4 V to 229 V over the soils and seasons)", or the value alone.
std::string shown(const Estimate& estimate, Dimension dimension) {
  const std::string value = format_quantity(estimate.value, dimension);
  const std::string least = format_quantity(estimate.least, dimension);
  const std::string greatest = format_quantity(estimate.greatest, dimension);
  return least == greatest ? value : fmt::format("{} ({} to {})", value, least, greatest);
}

/// A quantity that falls as R_A grows (is_falling), or rises with it.
template <typename Of>
Estimate over(const Estimate& resistance_ohm, bool is_falling, Of of) {
  const double at_least = of(resistance_ohm.least);
  const double at_greatest = of(resistance_ohm.greatest);
  return {of(resistance_ohm.value), is_falling ? at_greatest : at_least, is_falling ? at_least : at_greatest,
          "circuit of R_A and R_B; R_A: " + resistance_ohm.basis};
}

}  // namespace

TtFault tt_fault(const TtFaultCase& fault) {
  require_positive("fault.nominal_v", fault.nominal_v, "V");
  const Estimate& resistance_ohm = fault.resistance_ohm;
  require_positive("fault.resistance_ohm.least", resistance_ohm.least, "ohm");
  require_positive("fault.resistance_ohm.greatest", resistance_ohm.greatest, "ohm");
  require_within("fault.resistance_ohm.value", resistance_ohm.value, "ohm",
                 {resistance_ohm.least, resistance_ohm.greatest});
  require_not_negative("fault.source_earth_ohm", fault.source_earth_ohm, "ohm");
  const auto current_a = [&](double ohm) { return fault.nominal_v / (ohm + fault.source_earth_ohm); };
  TtFault result{};
  result.current_a = over(resistance_ohm, true, current_a);
  result.touch_v = over(resistance_ohm, false, [&](double ohm) { return current_a(ohm) * ohm; });
  result.neutral_rise_v =
      over(resistance_ohm, true, [&](double ohm) { return current_a(ohm) * fault.source_earth_ohm; });
  result.overcurrent_loop_ohm = least_voltage_ratio * fault.nominal_v / instantaneous_a;
  result.can_overcurrent_device_act =
      resistance_ohm.greatest + fault.source_earth_ohm <= result.overcurrent_loop_ohm;
  const bool is_source_known = fault.source_earth_ohm > 0.0;
  const std::string through =
      is_source_known ? fmt::format(" and the source's {}",
                                    format_quantity(fault.source_earth_ohm, Dimension::resistance))
                      : " (the source's earth taken as 0)";
  const std::string neutral =
      is_source_known
          ? fmt::format("if nothing opens, the source's neutral and every PME earth on it stand at {}",
                        shown(result.neutral_rise_v, Dimension::voltage))
          : "if nothing opens, the source's neutral and every PME earth on it rise too, by how much is not "
            "known without the source's earth";
  result.sentence = fmt::format(
      "A fault to earth drives {} through {}{}: until the RCD opens the metal stands at {} to true earth; "
      "{}. {}",
      shown(result.current_a, Dimension::current), shown(resistance_ohm, Dimension::resistance), through,
      shown(result.touch_v, Dimension::voltage), neutral,
      result.can_overcurrent_device_act
          ? "Even so an RCD is needed: the resistance will not stay as low in every season"
          : fmt::format(
                "No overcurrent device can do the RCD's work: 6 A type B asks for a loop of {} or less",
                format_quantity(result.overcurrent_loop_ohm, Dimension::resistance)));
  return result;
}

double least_line_earth_ohm(const SourceEarth& source) {
  require_positive("source.resistance_ohm", source.resistance_ohm, "ohm");
  if (!(source.nominal_v > limit_v))
    throw DomainError("source.nominal_v", source.nominal_v, "V", "greater than 50");
  return source.resistance_ohm * (source.nominal_v - limit_v) / limit_v;
}

double disconnection_time_s(EarthingArrangement earthing, CircuitKind circuit) {
  const bool is_final = circuit == CircuitKind::final_circuit;
  if (earthing == EarthingArrangement::tn) return is_final ? 0.4 : 5.0;
  return is_final ? 0.2 : 1.0;
}

}  // namespace ohmroot::routes
