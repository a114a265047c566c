// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::study::detail {

/// Resistance of a shape by the field solution in every soil that the data allow: of draws the 5, 50 and 95 %
/// points, of a set its ends and its first soil; both ends widened by the solution's own error estimate.
/// Of many draws no more than greatest_soil_count are solved, fewer for large electrodes. Throws DomainError
/// where the field solution refuses the shape or the soil.
struct FieldResistance {
  Estimate electrode_ohm;
  FieldResult field;
};
[[nodiscard]] FieldResistance field_resistance(const electrode::Shape& shape, const AllowedSoils& allowed,
                                               std::size_t greatest_soil_count);

/// Resistance in the soil of the chosen fit, and of the runner-up if there is one: what the choice of the model
/// changes. Empty where the field solution refuses a soil.
[[nodiscard]] std::vector<FittedResistance>
fitted_resistances(const electrode::Shape& shape, const sounding::Interpretation& interpretation);

/// What the uniform-soil formula makes of the middle soil, in words: the equivalent resistivity, and by how
/// much the formula is off with the resistivity of each layer.
[[nodiscard]] std::string comparison_words(const FieldResult& field, const electrode::FormulaResult& formula);

}  // namespace ohmroot::study::detail
