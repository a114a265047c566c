// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/study/site.hpp>

namespace ohmroot::study::detail {

/// What one rod's reading leaves open: soils in which the rod, by the field solution, reads what was measured, at
/// both ends of its error (5 and 95 %). First the uniform soil of the reading itself, then uniform soil and two
/// layers, the lower one 0.01 to 100 times as resistive as the upper, the boundary at 0.2 to 4 times the rod's
/// length. Throws DomainError for a rod that is not valid, and unless the resistance is positive.
[[nodiscard]] AllowedSoils soils_of(const SoilFromRod& reading);

}  // namespace ohmroot::study::detail
