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

}  // namespace

TtFault tt_fault(const TtFaultCase& fault) {
  require_positive("fault.nominal_v", fault.nominal_v, "V");
  require_positive("fault.resistance_ohm", fault.resistance_ohm, "ohm");
  require_not_negative("fault.source_earth_ohm", fault.source_earth_ohm, "ohm");
  TtFault result{};
  result.current_a = fault.nominal_v / (fault.resistance_ohm + fault.source_earth_ohm);
  result.touch_v = result.current_a * fault.resistance_ohm;
  result.neutral_rise_v = result.current_a * fault.source_earth_ohm;
  result.overcurrent_loop_ohm = least_voltage_ratio * fault.nominal_v / instantaneous_a;
  result.can_overcurrent_device_act =
      fault.resistance_ohm + fault.source_earth_ohm <= result.overcurrent_loop_ohm;
  const bool is_source_known = fault.source_earth_ohm > 0.0;
  const std::string through =
      is_source_known ? fmt::format(" and the source's {}",
                                    format_quantity(fault.source_earth_ohm, Dimension::resistance))
                      : " (the source's earth taken as 0)";
  const std::string neutral =
      is_source_known
          ? fmt::format("if nothing opens, the source's neutral and every PME earth on it stand at {}",
                        format_quantity(result.neutral_rise_v, Dimension::voltage))
          : "if nothing opens, the source's neutral and every PME earth on it rise too, by how much is not "
            "known "
            "without the source's earth";
  result.sentence = fmt::format(
      "A fault to earth drives {} through {}{}: until the RCD opens the metal stands at {} to true earth, "
      "almost the "
      "line voltage; {}. {}",
      format_quantity(result.current_a, Dimension::current),
      format_quantity(fault.resistance_ohm, Dimension::resistance), through,
      format_quantity(result.touch_v, Dimension::voltage), neutral,
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
