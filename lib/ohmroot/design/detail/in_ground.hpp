// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/soils.hpp>

namespace ohmroot::design::detail {

/// The parts as they are at the end of the design life in that draw.
[[nodiscard]] Parts aged(Parts parts, const GroundDraw& draw);

/// What stands at each place in that draw: aged, and no deeper than where rods are refused.
[[nodiscard]] electrode::Shape piece_in(const Parts& parts, const GroundDraw& draw, int section_count);

[[nodiscard]] bool freezes(const GroundDraw& draw);

/// The soil of the draw in winter: the same layers, the ground above the frost's depth frozen.
[[nodiscard]] earth::LayeredSoil frozen_soil(const GroundDraw& draw);

/// The electrode alone in that draw's worst season, by the field solution: the worse of the driest season and of frozen
/// ground. [ohm]
[[nodiscard]] double worst_season_ohm(const Arrangement& arrangement, const Parts& parts,
                                      const GroundDraw& draw);

}  // namespace ohmroot::design::detail
