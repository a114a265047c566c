// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/routes/pme_metal.hpp>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// The TT electrode: its first rod or its start (the centre of a ring) at the place.
struct TtElectrode {
  electrode::Shape shape;
  PlanPose pose;
};

/// Where the vehicle can stand, and how far from that the feet of a person who touches it can be.
struct Parking {
  electrode::Outline outline;
  double feet_reach_m =
      1.0;  ///< 0.01 to 100; 1 m is the usual distance of the feet (BS EN 50522, from memory)
};

/// Metal on the PME earth at one potential, and what is near it.
struct SeparationCase {
  earth::LayeredSoil soil;
  std::vector<PmeMetal> metal;           ///< joined; at least one
  double metal_v;                        ///< to remote earth, with the PEN broken; above 0
  std::optional<TtElectrode> electrode;  ///< none: no TT electrode yet
  std::optional<Parking> parking;
};

/// Potential of a place as a share of the metal's: 1 on the metal, 0 far away.
struct PlaceShare {
  electrode::SurfacePlace place;
  Estimate share_ratio;
};

/// What the metal's potential brings to a TT electrode and to the ground under a person's feet.
struct Transfer {
  electrode::FieldStatus status =
      electrode::FieldStatus::converged;  ///< coarse: the intervals are wider than asked for, see remark
  std::string remark;                     ///< empty if converged
  std::optional<double>
      nearest_m;  ///< TT electrode to metal in plan, between axes; none without an electrode
  std::optional<Estimate> electrode_share_ratio;  ///< of the TT electrode, carrying no current
  std::optional<Estimate> electrode_v;
  std::optional<PlaceShare> most_at_feet;   ///< where feet can stand and the ground takes the greatest share
  std::optional<PlaceShare> least_at_feet;  ///< and the least
  std::optional<Estimate> feet_v;           ///< ground at most_at_feet to remote earth
  /// Between a vehicle on the TT electrode and the ground under the feet, worst place. Needs both.
  std::optional<Estimate> touch_on_tt_v;
  /// Between a vehicle (or anything else) on the PME earth and the ground at least_at_feet.
  std::optional<Estimate> touch_on_pme_v;
  std::string finding;  ///< the numbers in a sentence
};

/// Solves the metal and the TT electrode together in the layered soil: the metal at its potential, the
/// electrode connected to nothing, so that it takes the mean that its own metal finds in the soil. Intervals: twice the
/// difference of two finenesses and four times the solution's own estimate, since a share is the ratio of two
/// resistances; the soil's own uncertainty is not in them. The feet may be anywhere in the outline,
/// or within feet_reach_m around it, as the vehicle may stand anywhere in it; the greatest and the least
/// share are sought on a grid and at the places nearest to each piece of metal, then closed in on.
/// Throws DomainError for metal, electrode, outline (sides 0 to 1000 m) or metal_v that is not valid, and where
/// the electrode touches the metal: then it is not separate at all.
/// Source: potential theory; superposition (derived).
[[nodiscard]] Transfer transfer(const SeparationCase& given);

/// Share of its potential that one thin rod in uniform soil gives to the surface at a distance from its axis:
/// asinh(L/x) / (ln(4 L/a) - 1), leaking evenly. This is what rod tables of separation hold. It is not on the
/// safe side for anything longer than the rod.
/// Throws DomainError for a rod that is not valid, or a distance below its radius or not finite.
/// Source: derived (potential of an even line source).
[[nodiscard]] double thin_rod_share_ratio(const electrode::Rod& rod, double distance_m);

/// A distance in the ground that is asked for in practice.
struct PracticeSeparation {
  double distance_m;
  std::string_view standing;  ///< how it is known
};
/// 2, 3.5 and 3.6 m, ascending: the sources disagree, and none is a clause.
[[nodiscard]] std::span<const PracticeSeparation> practice_separations();

/// What to do about that, for the report.
[[nodiscard]] std::string_view ask_the_distributor();

}  // namespace ohmroot::routes
