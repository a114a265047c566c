// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cstddef>
#include <limits>
#include <vector>

namespace ohmroot::design {

/// Equally likely states of the ground: a soil, the factor that takes a resistance to the worst season, and the one
/// that takes it to the most favourable; and what the ground does to the metal. The same state lies under every rod of
/// an electrode. Frost is another season than the driest: the worst is the worse of the two, not both at once. The most
/// favourable season has neither frost nor loss nor refusal.
struct GroundDraw {
  earth::LayeredSoil soil;
  double worst_season_ratio = 1.0;
  double best_season_ratio = 1.0;
  double refusal_depth_m = std::numeric_limits<double>::infinity();  ///< where every rod stops
  double diameter_loss_m = 0.0;  ///< that rods and the width of tape lose over the design life
  double frost_depth_m = 0.0;    ///< 0: the ground does not freeze
  double frozen_ratio = 1.0;     ///< resistivity of frozen ground over that of the same ground unfrozen
};
using GroundDraws = std::vector<GroundDraw>;

/// Every n-th of the draws, or of what was calculated in each, so that count of them remain (all, if there are no more).
template <class Item>
[[nodiscard]] std::vector<Item> thinned(const std::vector<Item>& all, std::size_t count) {
  if (all.size() <= count) return all;
  std::vector<Item> kept;
  for (std::size_t i = 0; i < count; ++i)
    kept.push_back(all[i * all.size() / count]);
  return kept;
}

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
