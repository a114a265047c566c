// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/box.hpp>

#include <boost/math/tools/minima.hpp>

#include <algorithm>
#include <cstdint>
#include <limits>
#include <random>

namespace ohmroot::supply::detail {

namespace {

constexpr int sample_count = 8;  // steps along a coordinate before the best one is refined
constexpr int random_start_count = 4;
constexpr int sweep_limit = 20;
constexpr double settled_ratio = 1e-13;

/// Moves one coordinate to its best value, the others held.
void climb(const BoxFunction& function, std::size_t coordinate, BoxPoint& point) {
  const auto value_at = [&](double x) {
    std::vector<double> at = point.at;
    at[coordinate] = x;
    return function(at);
  };
  const auto take = [&](double x, double value) {
    if (value > point.value) {
      point.at[coordinate] = x;
      point.value = value;
    }
  };
  for (int sample = 0; sample <= sample_count; ++sample) {
    const double x = sample / static_cast<double>(sample_count);
    take(x, value_at(x));
  }
  const double reach = 1.0 / sample_count;
  const double here = point.at[coordinate];
  std::uintmax_t iterations = 100;  // an unsettled refinement only leaves the sample as it is
  const auto [x, negative] = boost::math::tools::brent_find_minima(
      [&](double trial) { return -value_at(trial); }, std::max(0.0, here - reach),
      std::min(1.0, here + reach), std::numeric_limits<double>::digits / 2, iterations);
  take(x, -negative);
}

BoxPoint climbed(const BoxFunction& function, BoxPoint point) {
  for (int sweep = 0; sweep < sweep_limit; ++sweep) {
    const double before = point.value;
    for (std::size_t k = 0; k < point.at.size(); ++k)
      climb(function, k, point);
    if (point.value - before <= settled_ratio * std::abs(point.value)) break;
  }
  return point;
}

}  // namespace

BoxPoint greatest_at_corners(const BoxFunction& function, std::size_t dimension_count) {
  BoxPoint best{std::vector<double>(dimension_count, 1.0), 0.0};
  best.value = function(best.at);
  std::vector<double> at(dimension_count);
  for (std::uint64_t corner = 0; corner + 1 < std::uint64_t{1} << dimension_count; ++corner) {
    for (std::size_t k = 0; k < dimension_count; ++k)
      at[k] = (corner >> k & 1U) != 0 ? 1.0 : 0.0;
    const double value = function(at);
    if (value > best.value) best = {at, value};
  }
  return best;
}

BoxPoint greatest_inside(const BoxFunction& function, const BoxPoint& start) {
  std::vector<std::vector<double>> starts{std::vector<double>(start.at.size(), 0.5)};
  std::mt19937_64 engine(1);  // fixed: the same question always gets the same answer
  for (int k = 0; k < random_start_count; ++k) {
    std::vector<double> at(start.at.size());
    // Straight from the bits: the standard's distributions differ between libraries.
    for (double& x : at)
      x = static_cast<double>(engine() >> 11U) * 0x1p-53;
    starts.push_back(at);
  }
  BoxPoint best = climbed(function, start);
  for (const auto& at : starts) {
    const BoxPoint found = climbed(function, {at, function(at)});
    if (found.value > best.value) best = found;
  }
  return best;
}

}  // namespace ohmroot::supply::detail
