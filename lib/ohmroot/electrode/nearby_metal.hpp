// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::electrode {

/// How metal in the ground near an electrode is connected.
enum class Connection {
  floating,  ///< to nothing: a pipe between insulating joints, a neighbour's electrode without its installation
  joined,    ///< to the electrode above ground: a pipe bonded to the MET, a neighbour on the same broken PEN
  earthed,  ///< to remote earth by far better ways than its own: an electrode on a sound neutral
};
[[nodiscard]] std::string_view connection_name(Connection connection);

struct NearbyMetal {
  Electrode metal;
  Connection connection;
};

/// What one piece of nearby metal does while the electrode is fed.
struct NearbyEffect {
  std::string name;
  Connection connection;
  double potential_share_ratio;  ///< its potential over the electrode's: 1 if joined, 0 if earthed
  double
      current_share_ratio;  ///< current that leaves into the soil through it, over all that is fed into the
                            ///< electrode and what is joined to it; below 0 where it takes current up
};

/// An electrode among other metal, and alone.
struct NearbyResult {
  Estimate alone_ohm;     ///< to remote earth, nothing near
  Estimate together_ohm;  ///< potential over the current fed into it and all that is joined to it
  double electrode_current_share_ratio;  ///< of that current, through the electrode itself
  std::vector<NearbyEffect> effects;     ///< in the order given
  FieldStatus status;                    ///< coarse if either solution is
  FieldSolution field;                   ///< electrode 0 is the electrode, the others as given
  FieldState state;     ///< one ampere fed in sum: for potentials of the ground (surface_map.hpp)
  std::string finding;  ///< in a sentence, with what it means for a design
};

/// Solves the electrode with all the metal near it, and alone. Nearby metal that floats or is earthed never raises the
/// resistance, and joined metal never does either; but what is joined may be taken away, or replaced by plastic, and
/// what floats is not there for a test when the ground around it is dry or its joints are bridged. So alone_ohm is
/// what a design can count on. Intervals: twice the solution's own estimate for alone_ohm, four times for
/// together_ohm, which is made of several resistances.
/// Throws DomainError for bad geometry (conductors.hpp), for electrodes that touch, and if no metal is given.
/// Source: potential theory (Thomson's theorem for the bounds); derived.
[[nodiscard]] NearbyResult among_nearby_metal(const earth::LayeredSoil& soil, const Electrode& electrode,
                                              const std::vector<NearbyMetal>& nearby,
                                              const FieldOptions& options = {.place_tolerance_ratio = 1e-3});

}  // namespace ohmroot::electrode
