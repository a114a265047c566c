// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/encasement.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>

namespace ohmroot::evidence::detail {

namespace {

/// A factor per ohm m of a round plate at depth, as a quantity.
Quantity disc_series(const std::string& name, double (*series)(const electrode::DiscAtDepth&)) {
  return {"electrode.plate." + name, "ohm", "radius_m, depth_m, soil_resistivity_ohm_m", Comparison::equal,
          [series](const Given& given) -> text::Value {
            return series({given.number("radius_m"), given.number("depth_m")}) *
                   given.number("soil_resistivity_ohm_m");
          }};
}

electrode::PlateAttitude attitude_in(const Given& given) {
  constexpr Word<electrode::PlateAttitude> attitudes[] = {
      {"horizontal", electrode::PlateAttitude::horizontal}, {"vertical", electrode::PlateAttitude::vertical}};
  return meaning_of(given.text_or("attitude", "horizontal"), attitudes);
}

double computed_plate_ohm(const Given& given, const electrode::Plate& plate) {
  return electrode::plate_resistance(soil_in(given), plate).resistance_ohm;
}

std::vector<Quantity> plate_quantities() {
  return {
      {"electrode.plate.surface_ohm", "ohm", "area_m2, soil_resistivity_ohm_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::plate_factor_on_surface_per_m(given.number("area_m2")) *
                given.number("soil_resistivity_ohm_m");
       }},
      {"electrode.plate.depth_factor_ohm", "ohm", "area_m2, depth_m, soil_resistivity_ohm_m",
       Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::plate_factor_at_depth_per_m({given.number("area_m2"), given.number("depth_m")}) *
                given.number("soil_resistivity_ohm_m");
       }},
      disc_series("horizontal_series_ohm", electrode::horizontal_disc_series_per_m),
      disc_series("vertical_series_ohm", electrode::vertical_disc_series_per_m),
      disc_series("equilibrium_series_ohm", electrode::equilibrium_disc_series_per_m),
      {"electrode.plate.square_ohm", "ohm", "side_m, soil_resistivity_ohm_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         const double side_m = given.number("side_m");
         return electrode::plate_resistance(
                    earth::LayeredSoil(given.number("soil_resistivity_ohm_m")),
                    electrode::RectangularPlate{side_m, side_m, 0.0, electrode::PlateAttitude::horizontal})
             .resistance_ohm;
       }},
      {"electrode.plate.disc_ohm", "ohm", "diameter_m, depth_m, attitude?, layers", Comparison::equal,
       [](const Given& given) -> text::Value {
         return computed_plate_ohm(given,
                                   electrode::CircularPlate{given.number("diameter_m"),
                                                            given.number("depth_m"), attitude_in(given)});
       }},
      {"electrode.plate.rectangle_ohm", "ohm", "length_m, width_m, depth_m, attitude?, layers",
       Comparison::equal,
       [](const Given& given) -> text::Value {
         return computed_plate_ohm(
             given, electrode::RectangularPlate{given.number("length_m"), given.number("width_m"),
                                                given.number("depth_m"), attitude_in(given)});
       }},
      {"electrode.encased_rod.resistance_ohm", "ohm",
       "length_m, diameter_m, fill_diameter_m, fill_resistivity_ohm_m, soil_resistivity_ohm_m",
       Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::encased_rod_formula_ohm(given.number("soil_resistivity_ohm_m"),
                                                   {{given.number("length_m"), given.number("diameter_m")},
                                                    given.number("fill_diameter_m"),
                                                    given.number("fill_resistivity_ohm_m")});
       }},
      {"electrode.foundation.resistance_ohm", "ohm", "volume_m3, soil_resistivity_ohm_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::foundation_factor_per_m(given.number("volume_m3")) *
                given.number("soil_resistivity_ohm_m");
       }},
  };
}

electrode::BlockResistance block_in(const Given& given) {
  return electrode::block_resistance(
      soil_in(given), {given.number("length_m"), given.number("width_m"), given.number("depth_m")});
}

std::vector<Quantity> block_quantities() {
  const std::string takes = "length_m, width_m, depth_m, layers";
  return {
      {"electrode.block.resistance_ohm", "ohm", takes, Comparison::equal,
       [](const Given& given) -> text::Value { return block_in(given).estimate_ohm; }},
      {"electrode.block.truth_ohm", "ohm", takes, Comparison::inside_band,
       [](const Given& given) {
         const electrode::BlockResistance block = block_in(given);
         const double ends[] = {block.lower_bound_ohm, block.upper_bound_ohm};
         return list_of(ends);
       }},
  };
}

/// Slope coefficient of a point electrode measured from its middle, from the three readings in closed form.
double small_electrode_slope_ratio() {
  using electrode::small_electrode_error_ratio;
  return electrode::slope_ratio(
      {small_electrode_error_ratio(0.2), small_electrode_error_ratio(0.4), small_electrode_error_ratio(0.6)});
}

std::vector<Quantity> fall_of_potential_quantities() {
  const std::string room = "electrode.fall_of_potential.";
  return {
      {room + "small_electrode_error_ratio", "1", "position_ratio", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::small_electrode_error_ratio(given.number("position_ratio"));
       }},
      {room + "zero_position_ratio", "1", "", Comparison::equal,
       [](const Given&) -> text::Value { return electrode::small_electrode_position_ratio(); }},
      {room + "equal_distance_angle_deg", "deg", "", Comparison::equal,
       [](const Given&) -> text::Value { return electrode::equal_distance_angle_deg(); }},
      {room + "slope_of_small_electrode_ratio", "1", "", Comparison::equal,
       [](const Given&) -> text::Value { return small_electrode_slope_ratio(); }},
      {room + "slope_position_ratio", "1", "slope_ratio", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::slope_position_ratio(given.number("slope_ratio"));
       }},
  };
}

}  // namespace

std::vector<Quantity> surface_quantities() {
  std::vector<Quantity> all;
  for (auto offer : {plate_quantities, block_quantities, fall_of_potential_quantities}) {
    for (Quantity& quantity : offer()) {
      all.push_back(std::move(quantity));
    }
  }
  return all;
}

}  // namespace ohmroot::evidence::detail
