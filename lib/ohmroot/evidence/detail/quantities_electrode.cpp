// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ohmroot::evidence::detail {

namespace {

using electrode::FormulaResult;
using electrode::Shape;

electrode::Rod rod_in(const Given& given) {
  return {given.number("length_m"), given.number("diameter_m")};
}

electrode::RodLine rod_line_in(const Given& given) {
  return {rod_in(given), given.count("rod_count"), given.number("spacing_m")};
}

/// A kind of shape: its name in the rows, the keys that give it, and how it is read.
struct ShapeKind {
  std::string name;
  std::string takes;
  Shape (*read)(const Given&);
};

const ShapeKind shape_kinds[] = {
    {"rod", "length_m, diameter_m", [](const Given& given) -> Shape { return rod_in(given); }},
    {"rod_line", "length_m, diameter_m, rod_count, spacing_m",
     [](const Given& given) -> Shape { return rod_line_in(given); }},
    {"rod_square", "length_m, diameter_m, rods_per_side, spacing_m",
     [](const Given& given) -> Shape {
       return electrode::RodSquare{rod_in(given), given.count("rods_per_side"), given.number("spacing_m")};
     }},
    {"rod_triangle", "length_m, diameter_m, spacing_m",
     [](const Given& given) -> Shape {
       return electrode::RodTriangle{rod_in(given), given.number("spacing_m")};
     }},
    {"tape", "length_m, width_m, thickness_m?, depth_m",
     [](const Given& given) -> Shape {
       return electrode::Tape{given.number("length_m"), given.number("width_m"), given.number("depth_m"),
                              given.number_or("thickness_m", 0.0)};
     }},
    {"round_conductor", "length_m, diameter_m, depth_m",
     [](const Given& given) -> Shape {
       return electrode::RoundConductor{given.number("length_m"), given.number("diameter_m"),
                                        given.number("depth_m")};
     }},
    {"ring", "ring_diameter_m, conductor_diameter_m, depth_m",
     [](const Given& given) -> Shape {
       return electrode::Ring{given.number("ring_diameter_m"), given.number("conductor_diameter_m"),
                              given.number("depth_m")};
     }},
    {"mesh_shape", "length_m, width_m, meshes_along, meshes_across, depth_m, diameter_m",
     [](const Given& given) -> Shape {
       return electrode::Mesh{{given.number("length_m"), given.count("meshes_along")},
                              {given.number("width_m"), given.count("meshes_across")},
                              given.number("depth_m"),
                              given.number("diameter_m") / 2.0};
     }},
};

/// The default formula, or the one that the row names.
FormulaResult formula_in(const Given& given, const Shape& shape) {
  if (!given.has("formula")) {
    return electrode::default_formula(shape);
  }
  const std::string wanted = given.text_or("formula", "");
  std::string known;
  for (const FormulaResult& result : electrode::all_formulas(shape)) {
    if (result.formula->id == wanted) {
      return result;
    }
    known += fmt::format(" '{}'", result.formula->id);
  }
  throw NotComputable(fmt::format("no formula '{}' for this shape; known are{}", wanted, known));
}

struct ResistivitySpan {
  double least_ohm_m;
  double greatest_ohm_m;
};

/// Between these ends the formula claims the true resistance of the bonded metal to lie.
text::Value truth_band_in(const FormulaResult& result, const ResistivitySpan& soil) {
  if (!result.is_inside_valid_box) {
    throw NotComputable("outside the formula's valid box, where it claims nothing: " + result.outside_reason);
  }
  const electrode::Formula& formula = *result.formula;
  const double ends[] = {result.geometry_factor_per_m * formula.least_truth_ratio * soil.least_ohm_m,
                         result.geometry_factor_per_m * formula.greatest_truth_ratio * soil.greatest_ohm_m};
  return list_of(ends);
}

std::vector<Quantity> quantities_of(const ShapeKind& kind) {
  const auto read = kind.read;
  const std::string uniform = kind.takes + ", soil_resistivity_ohm_m, formula?";
  return {
      {"electrode." + kind.name + ".resistance_ohm", "ohm", uniform, Comparison::equal,
       [read](const Given& given) -> text::Value {
         return formula_in(given, read(given)).geometry_factor_per_m * given.number("soil_resistivity_ohm_m");
       }},
      {"electrode." + kind.name + ".truth_ohm", "ohm", uniform, Comparison::inside_band,
       [read](const Given& given) {
         const double soil_ohm_m = given.number("soil_resistivity_ohm_m");
         return truth_band_in(formula_in(given, read(given)), {soil_ohm_m, soil_ohm_m});
       }},
      {"electrode." + kind.name + ".layered_truth_ohm", "ohm", kind.takes + ", layers, formula?",
       Comparison::inside_band,
       [read](const Given& given) {
         const earth::LayeredSoil soil = soil_in(given);
         return truth_band_in(formula_in(given, read(given)),
                              {soil.least_resistivity_ohm_m(), soil.greatest_resistivity_ohm_m()});
       }},
  };
}

double rod_factor_per_m(const Given& given) {
  return electrode::default_formula(rod_in(given)).geometry_factor_per_m;
}

/// F of R_n = F R_1 / n.
double multiplying_factor_ratio(const Given& given, const Shape& group, int rod_count) {
  return formula_in(given, group).geometry_factor_per_m * rod_count / rod_factor_per_m(given);
}

/// Rods at the nodes of a rectangular pattern, all of them or those on its edge only.
std::vector<electrode::RodPosition> grid_positions(const Given& given, double spacing_m) {
  constexpr Word<bool> fillings[] = {{"filled", true}, {"edge", false}};
  const bool is_filled = meaning_of(given.text_or("filling", "filled"), fillings);
  const int along = given.count("rods_along");
  const int across = given.count("rods_across");
  std::vector<electrode::RodPosition> positions;
  for (int i = 0; i < along; ++i) {
    for (int j = 0; j < across; ++j) {
      const bool is_on_edge = i == 0 || j == 0 || i == along - 1 || j == across - 1;
      if (is_filled || is_on_edge) {
        positions.push_back({i * spacing_m, j * spacing_m});
      }
    }
  }
  return positions;
}

/// Rods evenly round a circle, one metre from neighbour to neighbour.
std::vector<electrode::RodPosition> circle_positions(int rod_count) {
  const double step = 2.0 * std::numbers::pi / rod_count;
  const double radius_m = 0.5 / std::sin(step / 2.0);
  std::vector<electrode::RodPosition> positions;
  for (int i = 0; i < rod_count; ++i) {
    positions.push_back({radius_m * std::cos(i * step), radius_m * std::sin(i * step)});
  }
  return positions;
}

/// The lambda method with the point-source sum of the pattern: (R_1 / n)(1 + lambda a), per ohm m.
double grid_group_factor_per_m(const Given& given) {
  const double spacing_m = given.number("spacing_m");
  const auto positions = grid_positions(given, spacing_m);
  const double lambda_ratio = electrode::point_source_group_factor_ratio(positions, spacing_m);
  return (rod_factor_per_m(given) + lambda_ratio / (2.0 * std::numbers::pi * spacing_m)) /
         static_cast<double>(positions.size());
}

const std::string grid_takes = "length_m, diameter_m, rods_along, rods_across, filling?, spacing_m";

std::vector<Quantity> table_quantities() {
  return {
      {"electrode.line_group_factor_ratio", "1", "rod_count", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::line_group_factor(given.count("rod_count")).lambda_ratio;
       }},
      {"electrode.square_group_factor_ratio", "1", "rods_per_side", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::square_group_factor(given.count("rods_per_side")).lambda_ratio;
       }},
      {"electrode.point_source_sum.grid_ratio", "1", "rods_along, rods_across, filling?", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::point_source_group_factor_ratio(grid_positions(given, 1.0), 1.0);
       }},
      {"electrode.point_source_sum.circle_ratio", "1", "rod_count", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::point_source_group_factor_ratio(circle_positions(given.count("rod_count")), 1.0);
       }},
  };
}

std::vector<Quantity> group_quantities() {
  const std::string line_takes = "length_m, diameter_m, rod_count, spacing_m";
  return {
      {"electrode.rod_line.multiplying_factor_ratio", "1", line_takes + ", formula?", Comparison::equal,
       [](const Given& given) -> text::Value {
         return multiplying_factor_ratio(given, rod_line_in(given), given.count("rod_count"));
       }},
      {"electrode.rod_square.multiplying_factor_ratio", "1",
       "length_m, diameter_m, rods_per_side, spacing_m, formula?", Comparison::equal,
       [](const Given& given) -> text::Value {
         const int per_side = given.count("rods_per_side");
         return multiplying_factor_ratio(
             given, electrode::RodSquare{rod_in(given), per_side, given.number("spacing_m")},
             4 * (per_side - 1));
       }},
      {"electrode.rod_grid.multiplying_factor_ratio", "1", grid_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         return grid_group_factor_per_m(given) / rod_factor_per_m(given) *
                static_cast<double>(grid_positions(given, 1.0).size());
       }},
      {"electrode.rod_grid.resistance_ohm", "ohm", grid_takes + ", soil_resistivity_ohm_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return grid_group_factor_per_m(given) * given.number("soil_resistivity_ohm_m");
       }},
      // equal currents leaking evenly: by Thomson's principle not below the bonded rods
      {"electrode.rod_grid.equal_current_ohm", "ohm", grid_takes + ", soil_resistivity_ohm_m",
       Comparison::upper_bound,
       [](const Given& given) -> text::Value {
         return electrode::equal_current_factor_per_m(rod_in(given),
                                                      grid_positions(given, given.number("spacing_m"))) *
                given.number("soil_resistivity_ohm_m");
       }},
      // a of R_n = (R_1 / n) (1 + lambda a), from the group that the library computes
      {"electrode.rod_line.interference_ratio", "1", line_takes, Comparison::equal,
       [](const Given& given) -> text::Value {
         const int count = given.count("rod_count");
         return (multiplying_factor_ratio(given, rod_line_in(given), count) - 1.0) /
                electrode::line_group_factor(count).lambda_ratio;
       }},
  };
}

std::vector<Quantity> body_quantities() {
  return {
      {"electrode.half_ellipsoid.resistance_ohm", "ohm", "along_m, across_m, down_m, soil_resistivity_ohm_m",
       Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::half_ellipsoid_factor_per_m(
                    {given.number("along_m"), given.number("across_m"), given.number("down_m")}) *
                given.number("soil_resistivity_ohm_m");
       }},
      // a floor must not exceed the resistance of any metal inside the volume
      {"electrode.ellipsoid_floor_ohm", "ohm", "length_m, width_m, depth_m, soil_resistivity_ohm_m",
       Comparison::lower_bound,
       [](const Given& given) -> text::Value {
         return electrode::ellipsoid_floor_bound_per_m(
                    {given.number("length_m"), given.number("width_m"), given.number("depth_m")}) *
                given.number("soil_resistivity_ohm_m");
       }},
      {"electrode.least_count_bound", "1", "one_electrode_ohm, limit_ohm", Comparison::equal,
       [](const Given& given) -> text::Value {
         return electrode::least_count_bound({given.number("one_electrode_ohm"), given.number("limit_ohm")});
       }},
  };
}

}  // namespace

std::vector<Quantity> electrode_quantities() {
  std::vector<Quantity> all;
  for (auto offer : {table_quantities, group_quantities, body_quantities}) {
    for (Quantity& quantity : offer()) {
      all.push_back(std::move(quantity));
    }
  }
  for (const ShapeKind& kind : shape_kinds) {
    for (Quantity& quantity : quantities_of(kind)) {
      all.push_back(std::move(quantity));
    }
  }
  return all;
}

}  // namespace ohmroot::evidence::detail
