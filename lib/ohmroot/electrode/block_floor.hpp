// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/floor.hpp>

namespace ohmroot::electrode {

/// How finely the faces are cut: cells from the middle of a face to its edge. 3 to 16; cost grows with the
/// sixth power.
struct BlockOptions {
  int cell_count = 6;
};

/// Resistance of the reachable volume filled with metal, between two bounds. [ohm]
struct BlockResistance {
  double lower_bound_ohm;  ///< no electrode inside the volume has less: the floor
  double upper_bound_ohm;
  double estimate_ohm;  ///< between the bounds, nearer to the upper one
};

/// The block lies flush with the surface, in any layers. For whatever leakage of one ampere, the resistance
/// lies between the least and the greatest potential found on the surface of the metal (the mean of the
/// potential with the true leakage as weight is the resistance). The leakage comes from panels, even on each,
/// graded to the edges; the potential is searched on a grid of each panel that holds its corners and edges,
/// twice as fine where it comes near its ends, and the bounds are widened by what the finer grid found beyond
/// the coarser one, and by the error of the kernel.
/// It concerns new metal in that volume, not metal already in the ground.
/// Each side from 1 micrometre to 1000 km, none more than 1000 times another; DomainError otherwise, and for
/// soils that ImageKernel refuses.
/// Source: potential theory (mean value with the equilibrium leakage); derived.
[[nodiscard]] BlockResistance block_resistance(const earth::LayeredSoil& soil, const ReachableVolume& volume,
                                               const BlockOptions& options = {});

}  // namespace ohmroot::electrode
