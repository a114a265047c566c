// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/study/site.hpp>

namespace ohmroot::study {

/// Smallest rectangle that encloses the land, at any angle, with the reachable depth. Throws DomainError for a
/// polygon with a problem.
[[nodiscard]] electrode::ReachableVolume enclosing_volume(const Land& land);

}  // namespace ohmroot::study
