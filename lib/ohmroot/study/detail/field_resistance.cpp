// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/study/detail/field_resistance.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmroot::study::detail {
namespace {

struct Solved {
  double resistance_ohm = 0.0;
  double estimate_ratio = 0.0;
  int unknown_count = 0;
};

/// A plate by its panels, whose finer level has about this many, everything else by its bars.
Solved solved(const electrode::Shape& shape, const earth::LayeredSoil& soil) {
  constexpr int panel_count = 1000;
  if (const auto* plate = std::get_if<electrode::RectangularPlate>(&shape)) {
    const electrode::PlateResistance found = electrode::plate_resistance(soil, *plate);
    return {found.resistance_ohm, found.error_ratio, panel_count};
  }
  const electrode::FieldSolution found =
      electrode::solve_field(soil, {{"electrode", electrode::conductors_of(shape)}});
  return {found.resistance_ohm(0, 0), found.estimate_ratio(), found.unknown_count()};
}

/// Solving cost grows with the square of the unknowns and more, so a large electrode meets fewer of the draws;
/// a rule of counts, not of time, gives the same answer on every machine.
std::size_t draw_count(int unknown_count) {
  if (unknown_count <= 150) return 400;
  if (unknown_count <= 400) return 200;
  return unknown_count <= 1000 ? 100 : 50;
}

std::vector<std::size_t> chosen_indices(const AllowedSoils& allowed, std::size_t greatest_count) {
  const std::size_t all = allowed.soils.size();
  const std::size_t count = allowed.are_draws ? std::min(all, greatest_count) : all;
  std::vector<std::size_t> indices(count);
  for (std::size_t i = 0; i < count; ++i)
    indices[i] = i * all / count;
  return indices;
}

std::string method_of(const electrode::Shape& shape) {
  if (std::holds_alternative<electrode::RectangularPlate>(shape))
    return "boundary elements on the plate, even leakage on each panel, the mean potential of all panels "
           "equal, in "
           "horizontally layered soil. Checks: reference/ACCURACY_SURFACES.md. The ground around it and the "
           "leakage: from "
           "eight bars that act like the plate, within 2 % for sides up to 1 : 2";
  return "Galerkin boundary elements on the surface of solid round bars in horizontally layered soil, the "
         "metal at one "
         "potential. Checks: reference/ACCURACY.md";
}

/// Of draws one in a hundred may be too extreme for the field solution: those are left out, and counted.
Solved solve_one(const earth::LayeredSoil& soil, const electrode::Shape& shape, bool is_draw) {
  try {
    return solved(shape, soil);
  } catch (const DomainError&) {
    if (!is_draw) throw;
    return {};
  }
}

std::size_t drop_refused(std::vector<Solved>& solved, std::vector<std::size_t>& indices) {
  const std::size_t all = solved.size();
  std::size_t kept = 0;
  for (std::size_t i = 0; i < all; ++i) {
    if (solved[i].resistance_ohm == 0.0) continue;
    solved[kept] = solved[i];
    indices[kept++] = indices[i];
  }
  solved.resize(kept);
  indices.resize(kept);
  if (100 * (all - kept) > all)
    throw DomainError("soil", fmt::format("{} of {} draws too extreme", all - kept, all),
                      "soils that the field solution can carry");
  return all - kept;
}

std::string basis_words(const AllowedSoils& allowed, std::size_t solved_count, double estimate_ratio) {
  const std::string precision =
      fmt::format("its own error estimate, {} %, included", format_number(100 * estimate_ratio, 1));
  if (allowed.are_draws) {
    return fmt::format(
        "field solution (boundary elements on the metal, in layers) in {} soils drawn from those "
        "that the readings allow: 5, 50 and 95 % points; {}",
        solved_count, precision);
  }
  if (allowed.soils.size() == 1)
    return fmt::format("field solution (boundary elements on the metal) in the soil as stated; {}",
                       precision);
  return fmt::format(
      "field solution (boundary elements on the metal) in the middle and at the ends of what is "
      "known of the soil: {}; {}",
      allowed.basis, precision);
}

}  // namespace

FieldResistance field_resistance(const electrode::Shape& shape, const AllowedSoils& allowed,
                                 std::size_t greatest_soil_count) {
  const Solved in_uniform = solved(shape, earth::LayeredSoil(1.0));
  FieldResistance result{.electrode_ohm = {}, .field = {.middle_soil = allowed.soils.front()}};
  result.field.uniform_factor_per_m = in_uniform.resistance_ohm;
  result.field.method = method_of(shape);

  std::vector<std::size_t> indices =
      chosen_indices(allowed, std::min(greatest_soil_count, draw_count(in_uniform.unknown_count)));
  std::vector<Solved> all(indices.size());
  for_each_index(indices.size(), [&](std::size_t i) {
    const earth::LayeredSoil& soil = allowed.soils[indices[i]];
    if (soil.is_uniform()) {
      all[i] = {result.field.uniform_factor_per_m * soil.layers().front().resistivity_ohm_m,
                in_uniform.estimate_ratio};
      return;
    }
    all[i] = solve_one(soil, shape, allowed.are_draws);
  });
  const std::size_t refused_count = drop_refused(all, indices);

  std::vector<std::size_t> order(indices.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return all[a].resistance_ohm < all[b].resistance_ohm;
  });
  std::vector<double> ascending_ohm;
  double estimate_ratio = 0.0;
  for (const std::size_t i : order) {
    ascending_ohm.push_back(all[i].resistance_ohm);
    estimate_ratio = std::max(estimate_ratio, all[i].estimate_ratio);
  }
  const std::size_t middle = allowed.are_draws ? order[(order.size() - 1) / 2] : 0;
  const double least_ohm = quantile(ascending_ohm, allowed.are_draws ? 0.05 : 0.0);
  const double greatest_ohm = quantile(ascending_ohm, allowed.are_draws ? 0.95 : 1.0);
  result.electrode_ohm = {
      all[middle].resistance_ohm, least_ohm * (1 - estimate_ratio), greatest_ohm * (1 + estimate_ratio),
      basis_words(allowed, indices.size(), estimate_ratio) +
          (refused_count > 0 ? fmt::format("; {} draws too extreme to be solved left out", refused_count)
                             : "")};
  result.field.middle_soil = allowed.soils[indices[middle]];
  result.field.middle_ohm = all[middle].resistance_ohm;
  result.field.estimate_ratio = estimate_ratio;
  result.field.equivalent_resistivity_ohm_m = result.field.middle_ohm / result.field.uniform_factor_per_m;
  result.field.unknown_count = in_uniform.unknown_count;
  result.field.soil_count = indices.size();
  if (allowed.are_draws) result.field.ascending_ohm = std::move(ascending_ohm);
  return result;
}

std::vector<FittedResistance> fitted_resistances(const electrode::Shape& shape,
                                                 const sounding::Interpretation& interpretation) {
  std::vector<FittedResistance> all;
  const auto add = [&](int layer_count, bool is_chosen) {
    const sounding::SoilFit& fit = interpretation.fits.at(static_cast<std::size_t>(layer_count - 1));
    const Solved found = solve_one(fit.soil(), shape, true);
    if (found.resistance_ohm > 0.0) all.push_back({layer_count, is_chosen, found.resistance_ohm});
  };
  add(interpretation.chosen_layer_count, true);
  if (interpretation.runner_up_layer_count) add(*interpretation.runner_up_layer_count, false);
  return all;
}

std::string comparison_words(const FieldResult& field, const electrode::FormulaResult& formula) {
  const double own_factor_per_m = formula.geometry_factor_per_m;
  const std::string own_error = fmt::format(
      "In uniform soil the formula '{}' differs from the field solution by {}.", formula.formula->title,
      format_signed_percent(own_factor_per_m / field.uniform_factor_per_m - 1));
  if (field.middle_soil.is_uniform()) return own_error;
  std::string words =
      fmt::format("In the middle soil this electrode acts as if the soil were uniform of {} (computed "
                  "equivalent resistivity).",
                  format_quantity(field.equivalent_resistivity_ohm_m, Dimension::resistivity));
  int number = 0;
  for (const earth::Layer& layer : field.middle_soil.layers()) {
    const double by_formula_ohm = own_factor_per_m * layer.resistivity_ohm_m;
    words +=
        fmt::format(" With the resistivity of layer {} ({}) the formula gives {}, {} times that of the field "
                    "solution ({}).",
                    ++number, format_quantity(layer.resistivity_ohm_m, Dimension::resistivity),
                    format_quantity(by_formula_ohm, Dimension::resistance),
                    format_number(by_formula_ohm / field.middle_ohm, 3),
                    format_quantity(field.middle_ohm, Dimension::resistance));
  }
  return words + " " + own_error;
}

}  // namespace ohmroot::study::detail
