// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>
#include <ohmroot/sounding/soundness.hpp>

#include <string>
#include <vector>

namespace ohmroot::sounding {

/// One spacing of a plan: Wenner, the tape's zero at the middle of the line.
struct PlannedSpacing {
  double spacing_m;
  double inner_stake_m;           ///< M and N stand this far to either side of the middle
  double outer_stake_m;           ///< A and B
  double greatest_stake_depth_m;  ///< a fifth of the spacing, never more than 0.3 m
  double median_depth_m;          ///< half of the reading comes from above this depth
  double geometric_factor_m;      ///< apparent resistivity over R, stakes at the surface
};

struct SpacingPlan {
  std::vector<PlannedSpacing> spacings;  ///< from narrow to wide
  bool reaches_depth;                    ///< the widest looks as deep as the electrode, and spans its extent
  std::string why;                       ///< what the plan does, and what the land does not allow
};

/// Wenner spacings for a sounding: from the least that shows the top (at most a metre, at most half the electrode's
/// depth) in steps of a third to nine tenths, to one that looks as deep as the electrode's deepest metal and spans its extent
/// in plan. A spacing needs three times its length of straight land; where that is short, the widest spacing is what the
/// land allows, and why says what stays unseen. Throws DomainError unless the depth is 0.3 to 100 m, the extent 0 to
/// 1000 m, and the land 1.5 m to 10 km.
struct StraightLand {
  double length_m;  ///< longest straight line on which stakes may stand
};
[[nodiscard]] SpacingPlan plan_spacings(const PlannedElectrode& electrode, const StraightLand& land);

}  // namespace ohmroot::sounding
