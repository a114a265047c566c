// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/parts.hpp>
#include <ohmroot/design/site_plan.hpp>
#include <ohmroot/electrode/conductors.hpp>

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::design {

/// How the electrode is laid out. A group of rods that fits no other name is 'free'.
enum class Kind {
  single_rod,
  rods_in_line,
  rods_along_boundary,
  rods_in_grid,
  rods_free,
  tape,
  ring,
  plates,
  steel
};
[[nodiscard]] std::string kind_name(Kind kind);

/// An electrode at real positions. Equal rods or plates (perhaps none) at their places, joined by straight ways in a
/// trench: bare tape, or insulated conductor, which leaks nothing. Plates are never joined by bare tape.
struct Arrangement {
  Kind kind = Kind::rods_free;
  std::vector<PlanPoint> places;
  int section_count = 0;  ///< of each rod; 0: plates stand at the places
  std::vector<PlanLine> ways;
  bool is_tape = false;  ///< the ways are bare tape
  std::optional<PlanLine> met_lead =
      {};                    ///< from the MET to the nearest of it, where the plan places the MET
  bool joins_steel = false;  ///< the existing steel of the parts is joined
};

/// Rods stand at its places.
[[nodiscard]] bool has_rods(const Arrangement& arrangement);

/// Whether the piece fits at a free place: a plate with both its ends, which lie along x, on free ground.
[[nodiscard]] bool may_stand(const SitePlan& plan, const Parts& parts, int section_count,
                             const PlanPoint& place);

/// Least distance of two such pieces from middle to middle. [m]
[[nodiscard]] double least_spacing_m(const SitePlan& plan, const Parts& parts, int section_count);

/// Joins places by the shortest tree of free straight ways (least in sum; of equal ones the first in the order of
/// the places), and the MET, if the plan places it, to the nearest of them. Nothing where keep-outs leave no tree.
[[nodiscard]] std::optional<Arrangement>
joined_rods(const SitePlan& plan, Kind kind, std::vector<PlanPoint> places, int section_count, bool is_tape);

/// Tape alone along ways that are free already.
[[nodiscard]] Arrangement laid_tape(const SitePlan& plan, Kind kind, std::vector<PlanLine> ways);

[[nodiscard]] Quantities quantities_of(const Arrangement& arrangement, const Parts& parts);

/// "4 rods of 2.4 m, free, joined by bare tape": for people.
[[nodiscard]] std::string describe(const Arrangement& arrangement, const Parts& parts);

/// The metal in the soil. Insulated conductors leak nothing and are left out. Rods end where all rods are refused.
[[nodiscard]] electrode::Electrode metal_of(const Arrangement& arrangement, const Parts& parts,
                                            double refusal_depth_m = std::numeric_limits<double>::infinity());

}  // namespace ohmroot::design
