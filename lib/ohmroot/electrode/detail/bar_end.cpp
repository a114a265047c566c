// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/bar_end.hpp>

// clang-format off
#include <math.h>  // first: the isnan of pchip.hpp is the global one
#include <boost/math/interpolators/pchip.hpp>
// clang-format on

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

namespace ohmroot::electrode::detail {
namespace {

using Curve = boost::math::interpolators::pchip<std::vector<double>>;

constexpr std::array radius_ratios{1.0, 1.3, 2.0, 3.5, 6.0, 10.0, 20.0, 40.0};
constexpr std::array resistivity_ratios{0.0, 0.005, 0.02, 0.1,  0.3,  0.6,  1.0,
                                        2.0, 5.0,   10.0, 20.0, 50.0, 100.0};

/// Rows: fill resistivity over the soil's; columns: radius of the fill over the bar's. The first row and column are
/// metal throughout.
constexpr std::array<std::array<double, radius_ratios.size()>, resistivity_ratios.size()> longer_ratio{{
    {flat_end_ratio, flat_end_ratio, flat_end_ratio, flat_end_ratio, flat_end_ratio, flat_end_ratio,
     flat_end_ratio, flat_end_ratio},
    {flat_end_ratio, 0.1012, 0.1009, 0.1000, 0.0993, 0.0988, 0.0982, 0.0976},
    {flat_end_ratio, 0.1046, 0.1035, 0.1004, 0.0977, 0.0957, 0.0933, 0.0914},
    {flat_end_ratio, 0.1237, 0.1218, 0.1106, 0.1005, 0.0926, 0.0840, 0.0772},
    {flat_end_ratio, 0.1739, 0.1815, 0.1617, 0.1402, 0.1225, 0.1031, 0.0883},
    {flat_end_ratio, 0.2475, 0.2773, 0.2515, 0.2156, 0.1842, 0.1496, 0.1234},
    {flat_end_ratio, 0.3393, 0.4010, 0.3689, 0.3141, 0.2643, 0.2088, 0.1675},
    {flat_end_ratio, 0.5470, 0.6889, 0.6434, 0.5415, 0.4449, 0.3370, 0.2582},
    {flat_end_ratio, 1.0940, 1.4817, 1.4069, 1.1660, 0.9285, 0.6620, 0.4711},
    {flat_end_ratio, 1.9301, 2.7439, 2.6355, 2.1671, 1.6942, 1.1619, 0.7846},
    {flat_end_ratio, 3.5336, 5.2260, 5.0655, 4.1458, 3.2024, 2.1374, 1.3867},
    {flat_end_ratio, 8.2431, 12.6225, 12.3271, 10.0588, 7.7037, 5.0393, 3.1682},
    {flat_end_ratio, 16.0394, 24.9268, 24.4176, 19.9045, 15.1972, 9.8667, 6.1280},
}};

/// Of the table over the logarithm of the radii and the root of the resistivities, in which it runs smoothly.
double interpolated(double radius_ratio, double resistivity_ratio) {
  std::vector<double> by_resistivity;
  for (const auto& row : longer_ratio) {
    std::vector<double> logarithms;
    for (const double ratio : radius_ratios)
      logarithms.push_back(std::log(ratio));
    const Curve curve(std::move(logarithms), {row.begin(), row.end()});
    by_resistivity.push_back(curve(std::log(std::min(radius_ratio, radius_ratios.back()))));
  }
  std::vector<double> roots;
  for (const double ratio : resistivity_ratios)
    roots.push_back(std::sqrt(ratio));
  const Curve curve(std::move(roots), std::move(by_resistivity));
  return curve(std::sqrt(resistivity_ratio));
}

}  // namespace

double filled_end_ratio(double radius_ratio, double resistivity_ratio) {
  constexpr double greatest = resistivity_ratios.back();
  const double within = interpolated(radius_ratio, std::min(resistivity_ratio, greatest));
  // Beyond the table the bar's own end leaks as through a small disc: its share is as the resistivities.
  return resistivity_ratio <= greatest ? within : within * resistivity_ratio / greatest;
}

}  // namespace ohmroot::electrode::detail
