// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/heating.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>

namespace ohmroot::evidence::detail {
namespace {

constexpr double pi = 3.14159265358979323846;

electrode::ShortTime short_time_in(const Given& given) {
  return {given.number("soil_resistivity_ohm_m"), given.number("time_s")};
}

electrode::SteadySoil steady_soil_in(const Given& given) {
  return {given.number("soil_resistivity_ohm_m"), given.number("thermal_conductivity_w_per_m_k")};
}

}  // namespace

std::vector<Quantity> heating_quantities() {
  const std::string short_takes = "soil_resistivity_ohm_m, time_s";
  const std::string steady_takes = "soil_resistivity_ohm_m, thermal_conductivity_w_per_m_k";
  return {
      {"electrode.current_density_a_per_m2", "A/m2", short_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::current_density_a_per_m2(short_time_in(given));
       }},
      {"electrode.current_density_is_3043_a_per_m2", "A/m2", short_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::current_density_is_3043_a_per_m2(short_time_in(given));
       }},
      // of a whole rod, its skin evenly loaded
      {"electrode.rod_current_a", "A", "length_m, diameter_m, " + short_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::current_density_ieee_142_a_per_m2(short_time_in(given)) * pi *
                given.number("diameter_m") * given.number("length_m");
       }},
      {"electrode.steady_rise_k", "K", "voltage_v, " + steady_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::steady_rise_k(given.number("voltage_v"), steady_soil_in(given));
       }},
      {"electrode.long_duration_voltage_v", "V", "temperature_rise_k, " + steady_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::long_duration_voltage_v(given.number("temperature_rise_k"), steady_soil_in(given));
       }},
      {"electrode.radial_rise_ratio", "1", "fourier_ratio", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::radial_rise_ratio(given.number("fourier_ratio"));
       }},
  };
}

}  // namespace ohmroot::evidence::detail
