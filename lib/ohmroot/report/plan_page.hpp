// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/spacing_plan.hpp>

#include <string>
#include <vector>

namespace ohmroot::report {

/// Between what the tester should show at a spacing.
struct ExpectedReading {
  double least_resistance_ohm;
  double greatest_resistance_ohm;
};

/// Outside the expected range a reading is repeated; beyond this factor outside it, one stops: leads, range or unit
/// are wrong (our judgement).
inline constexpr double stop_factor_ratio = 3.0;

/// What goes onto the sheet for the field.
struct FieldPlan {
  std::string site;  ///< may be empty: a line to write on
  sounding::PlannedElectrode electrode;
  sounding::SpacingPlan plan;
  std::vector<ExpectedReading> expected;  ///< one for each spacing
  std::string expected_basis;             ///< on what the ranges rest
};

/// One A4 page (HTML, self-contained, no script) to take along: safe working to tick, where each stake stands on one tape
/// laid along the line, greatest stake depth, the range of each reading with its repeat and stop bands, room for the
/// readings, a box for the sketch. Throws DomainError unless there is one expected range for each spacing.
[[nodiscard]] std::string plan_page(const FieldPlan& plan);

/// Mark of the tape at which the middle of the line stands, the tape's zero beyond the outermost stake. [m]
[[nodiscard]] double tape_middle_m(const sounding::SpacingPlan& plan);

}  // namespace ohmroot::report
