// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace ohmroot::sounding {

struct PosteriorOptions {
  int sample_count = 400;        ///< soils returned; 10 to 100 000
  int greatest_layer_count = 5;  ///< 1 to 5
  int draw_count = 20'000;       ///< soils weighed; 1000 to 100 000 000
  std::uint64_t seed = 1;
  StakeDepthRule depth_rule = StakeDepthRule::effective_point;
  std::vector<FourPoleReading> bounds = {};  ///< over-range readings, as in InterpretationOptions
  /// Readings of driven rods, joined by the field solution of each rod in the layers; over-range ones among them.
  std::vector<DrivenRodReading> rods = {};
};

enum class PosteriorStatus {
  converged,
  rough  ///< a few draws carry the weight, or independent parts of them differ: see why
};

/// What is believed of a soil of so many layers.
struct LayerCountBelief {
  int layer_count = 1;
  double share_ratio = 0.0;  ///< of the posterior
  double share_spread_ratio =
      0.0;  ///< standard deviation of the share between four independent parts of the draws
};

/// Soils that the readings allow: equally likely draws, numbers of layers mixed by their evidence.
struct SoilPosterior {
  std::vector<earth::LayeredSoil> soils;
  std::vector<LayerCountBelief> layer_counts;  ///< by number of layers, 1 first
  /// Agreement of four independent parts of the draws about what matters: the apparent resistivity that they predict at
  /// six spacings from the least to twice the greatest. (Single layers may be exchanged for others that do the same.)
  double greatest_r_hat_ratio = 1.0;
  /// Independent draws that tell as much, from the weights (Kish).
  double effective_sample_count = 0.0;  // unit: none
  std::string prior;                    ///< in words
  std::string objective;                ///< the likelihood, in words
  PosteriorStatus status = PosteriorStatus::converged;
  std::string why;
};

/// Samples the soils that four-pole readings allow.
///
/// Likelihood: ln(measured / modelled) over each reading's stated error, squared up to two errors and linear
/// beyond, the errors known only up to a common factor (and widened first where no model explains the readings);
/// each traverse, if there are several, has a factor of its own. Prior: in SoilPosterior::prior. Sampler: adaptive
/// importance sampling (detail/weighed_draws), whose first scouts come from the prior by sequential Monte Carlo (Del
/// Moral, Doucet, Jasra, J. R. Stat. Soc. B 68 (2006) 411, from memory). A walk with reversible jumps between numbers of
/// layers finds the same shares (tests/sounding).
/// Rods' readings weigh the soils that the four-pole readings leave, some thousands of them; where few have any weight the
/// status is rough.
/// The number of layers tried is at most (readings + 1) / 2.
/// Same readings, options and seed: same answer, whatever the number of threads. Throws DomainError if there is no
/// reading, if a resistance is not positive, a stated error not within 1e-6 to 1, or an option out of range, and for a rod's reading that quick_rod_resistances_ohm() refuses.
[[nodiscard]] SoilPosterior sample_posterior(const std::vector<FourPoleReading>& readings,
                                             const PosteriorOptions& options = {});

}  // namespace ohmroot::sounding
