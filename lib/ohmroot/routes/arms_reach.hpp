// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/surface_map.hpp>

#include <string>
#include <vector>

namespace ohmroot::routes {

/// Metal above ground that is on another earth than the vehicle: a post, a gate, a fence, another charge point. A
/// straight piece in plan; from and to are the same for a post.
struct MetalAbove {
  std::string name;
  electrode::SurfacePlace from;
  electrode::SurfacePlace to;
  double lowest_m = 0.0;  ///< height of its lowest part over the ground; 0 to 100
};

struct ReachOptions {
  /// 0.1 to 100. 2.5 m is arm's reach between parts that can be touched at once (BS 7671 Part 2, from memory;
  /// measured from wherever the vehicle can stand: common practice, quoted second-hand).
  double reach_m = 2.5;
};

struct ReachFinding {
  std::string name;
  double distance_m;  ///< in plan, from the nearest place of the parking outline; 0: the vehicle can touch it
  bool is_within;     ///< nearer than the reach, or at it, and not wholly above it
  std::string sentence;
};

/// One finding for each piece, in their order. Only metal whose lowest part is higher than the reach counts as out of
/// it by its height. Throws DomainError for an outline (sides 0 to 1000 m), a place, a height or a reach that is not
/// as described. No finding at all is no proof: what nobody listed is not judged.
[[nodiscard]] std::vector<ReachFinding> check_arms_reach(const electrode::Outline& parking,
                                                         const std::vector<MetalAbove>& metal,
                                                         const ReachOptions& options = {});

}  // namespace ohmroot::routes
