// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::design {

/// Equally likely states of the ground: a soil, the factor that takes a resistance to the worst season, and the one
/// that takes it to the most favourable. The same state lies under every rod of an electrode.
struct GroundDraw {
  earth::LayeredSoil soil;
  double worst_season_ratio = 1.0;
  double best_season_ratio = 1.0;
};
using GroundDraws = std::vector<GroundDraw>;

/// Every n-th of the draws, so that count of them remain (all, if there are no more).
[[nodiscard]] GroundDraws thinned(const GroundDraws& draws, std::size_t count);

/// Lower confidence limit of a share of which met of count independent draws were seen (Clopper and Pearson,
/// Biometrika 26 (1934) 404; by the beta distribution, from memory): with probability confidence_ratio the true
/// share is at least that. Throws DomainError unless met <= count, count > 0 and the confidence lies within
/// 0.5 to 0.9999.
struct ShareSeen {
  std::size_t met;
  std::size_t count;
};
[[nodiscard]] double lower_limit_ratio(const ShareSeen& seen, double confidence_ratio = 0.95);

/// The value that at least that share of the values does not exceed: an order statistic, no interpolation.
/// Throws DomainError for no values and for a share outside 0 to 1.
[[nodiscard]] double value_at_share(std::vector<double> values, double share_ratio);  // unit: of the values

}  // namespace ohmroot::design
