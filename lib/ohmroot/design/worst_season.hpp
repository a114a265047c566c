// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/soils.hpp>

namespace ohmroot::design {

/// What is asked of worst_season_ratio().
struct Lasting {
  double season_ratio = 1.0;  ///< resistivity of the driest season over that in the month of the measurement
  double share_ratio = 0.95;  ///< of the states of the ground, 0 to 1
};

/// Times what the electrode reads new in the month of the measurement, the resistance that it does not exceed in its worst
/// season at the end of its design life, in that share of the draws: season, frost and corrosion as they are drawn. By
/// the field solution of up to 100 draws, each new and at its end.
/// Throws DomainError if there are no draws, unless the season is positive and the share from 0 to 1.
[[nodiscard]] double worst_season_ratio(const Arrangement& arrangement, const Parts& parts,
                                        const GroundDraws& draws, const Lasting& lasting);

}  // namespace ohmroot::design
