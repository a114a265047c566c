// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/mesh.hpp>
#include <ohmroot/evidence/detail/names.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>

namespace ohmroot::evidence::detail {
namespace {

/// Depth that a formula does not use.
constexpr double no_depth_m = 1.0;

electrode::MeshSize size_in(const Given& given) {
  return {given.number("conductor_length_m"), given.number("area_m2"),
          given.number_or("depth_m", no_depth_m)};
}

/// One soil for both parts, or one for each.
electrode::CombinedResistance combined_in(const Given& given) {
  const auto soil_ohm_m = [&](const char* own) {
    return given.has(own) ? given.number(own) : given.number("soil_resistivity_ohm_m");
  };
  return electrode::combined_resistance({size_in(given),
                                         given.number("diameter_m"),
                                         soil_ohm_m("mesh_resistivity_ohm_m"),
                                         {given.number("k1_ratio"), given.number("k2_ratio")},
                                         given.count("rod_count"),
                                         given.number("rod_length_m"),
                                         given.number("rod_diameter_m"),
                                         soil_ohm_m("rod_resistivity_ohm_m")});
}

electrode::CombinedCoefficients coefficients_in(const Given& given) {
  constexpr Word<double> depths[] = {{"h0", 0.0}, {"h_A10", 0.1}, {"h_A6", 1.0 / 6.0}};
  return electrode::combined_coefficients(
      {meaning_of(given.text_or("depth_case", ""), depths), given.number("length_to_width_ratio")});
}

}  // namespace

std::vector<Quantity> mesh_quantities() {
  const std::string size = "conductor_length_m, area_m2, soil_resistivity_ohm_m";
  const std::string both = "conductor_length_m, area_m2, depth_m, diameter_m, k1_ratio, k2_ratio, rod_count, "
                           "rod_length_m, rod_diameter_m, "
                           "soil_resistivity_ohm_m?, mesh_resistivity_ohm_m?, rod_resistivity_ohm_m?";
  const std::string proportions = "depth_case, length_to_width_ratio";
  return {
      {"electrode.mesh.sverak_ohm", "ohm", size + ", depth_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::sverak_factor_per_m(size_in(given)) * given.number("soil_resistivity_ohm_m");
       }},
      {"electrode.mesh.laurent_ohm", "ohm", size, Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::laurent_factor_per_m(size_in(given)) * given.number("soil_resistivity_ohm_m");
       }},
      {"electrode.mesh_and_rods.mesh_ohm", "ohm", both, Comparison::equal,
       [](const Given& given) -> text::Value { return combined_in(given).mesh_ohm; }},
      {"electrode.mesh_and_rods.rods_ohm", "ohm", both, Comparison::equal,
       [](const Given& given) -> text::Value { return combined_in(given).rods_ohm; }},
      {"electrode.mesh_and_rods.mutual_ohm", "ohm", both, Comparison::equal,
       [](const Given& given) -> text::Value { return combined_in(given).mutual_ohm; }},
      {"electrode.mesh_and_rods.total_ohm", "ohm", both, Comparison::equal,
       [](const Given& given) -> text::Value { return combined_in(given).total_ohm; }},
      {"electrode.mesh_and_rods.k1_ratio", "1", proportions, Comparison::equal,
       [](const Given& given) -> text::Value { return coefficients_in(given).k1_ratio; }},
      {"electrode.mesh_and_rods.k2_ratio", "1", proportions, Comparison::equal,
       [](const Given& given) -> text::Value { return coefficients_in(given).k2_ratio; }},
  };
}

}  // namespace ohmroot::evidence::detail
