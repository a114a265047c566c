// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::electrode {

/// A formula for one kind of shape in uniform soil. All formulas are proportional to the soil's
/// resistivity; what is given is the geometry factor R / rho [1/m].
struct Formula {
  std::string_view id;          ///< our own short name: "rod-average-potential"
  std::string_view title;       ///< for people
  std::string_view expression;  ///< with symbols, as a hand would work it
  std::string_view symbols;     ///< symbol = meaning [unit], one after the other
  std::string_view source;      ///< publication, year, clause; says 'from memory' where that is so
  std::string_view valid;       ///< the box in which the expression may be used
  /// True resistance of the bonded metal over the formula's value, least and greatest, inside the box: the
  /// formula's own model error. The truth is an equipotential solution of solid round conductors (and of
  /// strips up to an eighth of their width thick) over the whole box, widened by a margin for its own
  /// error; it contains the computed comparisons kept in reference/.
  double least_truth_ratio;
  double greatest_truth_ratio;
  bool is_published;  ///< false: derived for this library; never the default of a shape
};

struct FormulaResult {
  const Formula* formula;        ///< never null, lives as long as the program
  double geometry_factor_per_m;  ///< resistance = this times the soil's resistivity
  bool is_inside_valid_box;      ///< outside it the formula's error band says nothing
  std::string outside_reason;    ///< which bound is passed, in words; empty inside the box
};

/// The formula this library uses by default for a shape, and its value. It is always a published one; where
/// published ones disagree, one that does not flatter the electrode. Throws DomainError for a shape that
/// is not valid (shape.hpp).
[[nodiscard]] FormulaResult default_formula(const Shape& shape);

/// Every formula known for the shape, the default one first: they disagree, and the user is shown by how
/// much. A formula is left out where its expression means nothing (a table without a row for that number of
/// rods, a series that diverges). Throws DomainError for a shape that is not valid.
[[nodiscard]] std::vector<FormulaResult> all_formulas(const Shape& shape);

/// Groups: factor lambda of R_n = (R_1/n)(1 + lambda a), a = rho / (2 pi R_1 s).
/// Table for rods in line (2 to 10 rods) and round a hollow square (2 to 10 rods per side, then 12, 14, 16,
/// 18 and 20); for every other number the equal-current sum. is_from_table says which.
/// The tables are the equal-potential solution of point sources at a near 0.1 to 0.2 and stand slightly
/// below the sums: they are stored as printed, not corrected.
/// Throws DomainError for fewer than 2, more than 4000 rods in line or more than 1000 per side.
/// Source: BS 7430:2011 cl. 9.5, tables for rods in line (read in public course notes on earthing design,
/// but for 7 and 9 rods, which are from memory) and for a hollow square (from memory).
struct GroupFactor {
  double lambda_ratio;
  bool is_from_table;
};
[[nodiscard]] GroupFactor line_group_factor(int rod_count);
[[nodiscard]] GroupFactor square_group_factor(int rods_per_side);

/// The equal-current sum behind lambda for any arrangement: mean over the rods of sum s / distance to each
/// other one. 1 to 4000 rods, no two in one place, spacing greater than 0; else DomainError.
[[nodiscard]] double point_source_group_factor_ratio(std::span<const RodPosition> positions,
                                                     double spacing_m);

/// Resistance per ohm m of equal joined vertical rods anywhere in plan, each taken to carry the same
/// current, leaking evenly along it: mean over the rods of the sum of average potentials, where two rods
/// at distance s give 1/(4 pi L^2) [2 L asinh(2L/s) - sqrt(4L^2 + s^2) + s]. [1/m]
/// Derived; by Thomson's principle not below the resistance of thin bonded rods. 1 to 4000 rods, at least
/// three diameters apart; else DomainError.
[[nodiscard]] double equal_current_factor_per_m(const Rod& rod, std::span<const RodPosition> positions);

}  // namespace ohmroot::electrode
