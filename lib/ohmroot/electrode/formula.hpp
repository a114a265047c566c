// SPDX-License-Identifier: MIT
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <ohmroot/electrode/shape.hpp>

namespace ohmroot::electrode {

/// A published formula for one kind of shape in uniform soil. All formulas are proportional to the soil's
/// resistivity; what is published is the geometry factor R / rho [1/m].
struct Formula {
  std::string_view id;          ///< our own short name: "rod-average-potential"
  std::string_view title;       ///< for people
  std::string_view expression;  ///< with symbols, as a hand would work it
  std::string_view symbols;     ///< symbol = meaning [unit], one after the other
  std::string_view source;      ///< publication, year, clause; says 'from memory' where that is so
  std::string_view valid;       ///< the box in which the expression may be used
  /// True resistance of the bonded metal over the formula's value, least and greatest, inside the box: the
  /// formula's own model error, from the computed comparisons kept in reference/.
  double least_truth_ratio;
  double greatest_truth_ratio;
};

struct FormulaResult {
  const Formula* formula;
  double geometry_factor_per_m;  ///< resistance = this times the soil's resistivity
  bool is_inside_valid_box;
  std::string outside_reason;    ///< which bound is passed, in words; empty inside the box
};

/// The formula this library uses by default for a shape, and its value. Throws DomainError for lengths that
/// are not positive, a diameter not below the length, rods closer than three diameters, or fewer than two
/// rods in a group.
[[nodiscard]] FormulaResult default_formula(const Shape& shape);

/// Every formula known for the shape, the default one first: they disagree, and the user is shown by how
/// much.
[[nodiscard]] std::vector<FormulaResult> all_formulas(const Shape& shape);

/// Groups: factor lambda of R_n = (R_1/n)(1 + lambda a), a = rho / (2 pi R_1 s).
/// Table for rods in line (2 to 10 rods) and round a hollow square (2 to 20 rods per side); beyond the
/// table the equal-current sum. is_from_table says which.
struct GroupFactor {
  double lambda_ratio;
  bool is_from_table;
};
[[nodiscard]] GroupFactor line_group_factor(int rod_count);
[[nodiscard]] GroupFactor square_group_factor(int rods_per_side);

}  // namespace ohmroot::electrode
