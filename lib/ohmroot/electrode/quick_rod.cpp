// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/detail/bar_end.hpp>
#include <ohmroot/electrode/quick_rod.hpp>

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::electrode {
namespace {

/// An end that stands out is a sliver of metal, not more than this of a length.
constexpr double end_room_ratio = 1.01;

/// Parts of a stretch of rod within one layer, from its upper end: short where the leakage changes quickly.
constexpr std::array tip_shares{0.03, 0.12, 0.45, 0.25, 0.10, 0.035, 0.015};
constexpr std::array crossed_shares{0.03, 0.12, 0.70, 0.12, 0.03};
constexpr std::array surface_tip_shares{0.55, 0.25, 0.13, 0.05, 0.02};
constexpr std::array surface_crossed_shares{0.80, 0.16, 0.04};

template <std::size_t count>
void add_breaks(const std::array<double, count>& shares, double bottom_m, std::vector<double>& breaks_m) {
  const double top_m = breaks_m.back();
  double share = 0.0;
  for (std::size_t i = 0; i + 1 < count; ++i)
    breaks_m.push_back(top_m + (share += shares[i]) * (bottom_m - top_m));
  breaks_m.push_back(bottom_m);
}

/// Depths of the ends of all elements.
std::vector<double> breaks_of(const earth::LayeredSoil& soil, double length_m) {
  const double sliver_m = 1e-5 * length_m;
  std::vector<double> breaks_m{0.0};
  for (std::size_t i = 0;; ++i) {
    const bool is_first = i == 0;
    const bool is_last = i + 1 == soil.layers().size();
    const double boundary_m = is_last ? length_m : breaks_m.back() + soil.layers()[i].thickness_m;
    if (is_last || boundary_m > length_m - sliver_m) {
      const double tip_m = std::min(boundary_m, length_m);
      is_first ? add_breaks(surface_tip_shares, tip_m, breaks_m) : add_breaks(tip_shares, tip_m, breaks_m);
      return breaks_m;
    }
    is_first ? add_breaks(surface_crossed_shares, boundary_m, breaks_m)
             : add_breaks(crossed_shares, boundary_m, breaks_m);
  }
}

}  // namespace

QuickRods::QuickRods(const earth::LayeredSoil& soil, double greatest_length_m)
    : soil_(soil), greatest_length_m_(greatest_length_m), kernel_(soil, end_room_ratio * greatest_length_m) {}

double QuickRods::resistance_ohm(const Rod& rod) const {
  return answer(rod, {}).resistance_ohm;
}

QuickRods::Answer QuickRods::answer(const Rod& rod, std::span<const double> distances_m) const {
  require_valid(Shape(rod));
  if (rod.length_m > greatest_length_m_)
    throw DomainError("rod.length_m", rod.length_m, "m", "at most the greatest length stated");
  const double radius_m = 0.5 * rod.diameter_m;
  const double length_m =
      std::min(rod.length_m + detail::flat_end_ratio * radius_m, end_room_ratio * greatest_length_m_);
  const std::vector<double> breaks_m = breaks_of(soil_, length_m);
  const auto count = static_cast<Eigen::Index>(breaks_m.size()) - 1;
  const std::vector<double> means_ohm = kernel_.mean_potentials_ohm(breaks_m, radius_m);
  // Currents that lift every piece to one volt in the mean.
  const Eigen::VectorXd currents_a = Eigen::Map<const Eigen::MatrixXd>(means_ohm.data(), count, count)
                                         .ldlt()
                                         .solve(Eigen::VectorXd::Ones(count));
  const double sum_a = currents_a.sum();
  Answer result{1.0 / sum_a, {}};
  for (const double distance_m : distances_m) {
    const std::vector<double> lifted_ohm = kernel_.surface_potentials_ohm(breaks_m, distance_m);
    result.lifted_ohm.push_back(currents_a.dot(Eigen::Map<const Eigen::VectorXd>(lifted_ohm.data(), count)) /
                                sum_a);
  }
  return result;
}

}  // namespace ohmroot::electrode
