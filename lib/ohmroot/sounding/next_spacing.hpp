// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::sounding {

/// A vertical rod, its top at the surface.
struct RodInQuestion {
  double length_m;
  double diameter_m;
};

/// Resistance of the rod in each soil, by the field solution, in parallel. [ohm]  tolerance 1 %.
/// Throws DomainError as modelled_rod_resistance().
[[nodiscard]] std::vector<double> rod_resistances_ohm(const std::vector<earth::LayeredSoil>& soils,
                                                      const RodInQuestion& rod);

/// What a reading not yet taken is expected to bring.
struct ReadingGain {
  FourPoleReading reading;         ///< as asked; its resistance is not used
  double variance_left_ratio;      ///< expected variance of ln(resistance) after it, over that of today
  double least_resistance_ohm;     ///< 5 % end of what the tester will show, its error included
  double middle_resistance_ohm;    ///< 50 %
  double greatest_resistance_ohm;  ///< 95 %
};

struct NextSpacingOptions {
  double enough_interval_ratio =
      1.5;                        ///< upper over lower end of the 90 % interval below which no more is asked
  double least_gain_ratio = 0.1;  ///< share of the variance that a reading must be expected to take away
};

struct NextSpacing {
  std::vector<ReadingGain> gains;  ///< of all candidates, in their order
  std::size_t best_index = 0;      ///< the one that leaves least
  bool is_enough = false;          ///< stop: narrow enough, or nothing that can be read narrows it further
  double least_ohm;                ///< 5 % end of the resistance in question today
  double middle_ohm;
  double greatest_ohm;  ///< 95 % end
  std::string sentence;
};

/// Which of the candidate readings would most narrow the resistance of the electrode in question.
///
/// soils are equally likely draws of all that is known (sample_posterior()), electrode_ohm the electrode's resistance
/// in each. For every candidate and every draw taken as the truth, a reading is imagined with the candidate's stated
/// error (a normal error of ln R, by three-point Gauss-Hermite), the other draws are weighted by how well they
/// predict it, and the squared miss of their mean of ln(resistance) is kept: its average over the draws is the
/// variance to be expected after the reading, leave-one-out, so that few draws near the truth make it too large
/// rather than too small. Who stops as soon as an interval is narrow holds the truth a little less often than it says
/// (reference/SLOW_TESTS.md). Throws DomainError for fewer than 50 draws, lists of different lengths, no candidate, a
/// resistance that is not positive, a stated error not within 1e-3 to 1, or an option out of range.
[[nodiscard]] NextSpacing next_spacing(const std::vector<earth::LayeredSoil>& soils,
                                       const std::vector<double>& electrode_ohm,
                                       const std::vector<FourPoleReading>& candidates,
                                       const NextSpacingOptions& options = {});

}  // namespace ohmroot::sounding
