// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::acceptance::detail {

/// Readings and, for each soil, what the stakes miss of the resistance in each of them.
struct LevelData {
  std::vector<double> reading_ohm;
  std::vector<double> error_ohm;                   ///< one standard deviation, each on its own
  std::vector<std::vector<double>> shortfall_ohm;  ///< [soil][reading]
  double shared_error_ratio;                       ///< of all readings together
};

/// R in reading = R - k shortfall + error, with k about 1 and R free.
struct LevelFit {
  Estimate resistance_ohm;      ///< central 90 %
  double relative_error_ratio;  ///< half the interval over 1.645 and the value
  std::size_t best_soil;
  double best_scale_ratio;  ///< k there
  double best_level_ohm;    ///< R there
  double chi_square_ratio;  ///< of the best soil
  std::size_t freedom_count;
};
[[nodiscard]] LevelFit fit_level(const LevelData& data);

/// The same without one reading.
[[nodiscard]] LevelData without(const LevelData& data, std::size_t reading);

/// Chi-square that a good test exceeds once in a thousand.
[[nodiscard]] double greatest_chi_square_ratio(std::size_t freedom_count);

}  // namespace ohmroot::acceptance::detail
