// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/slips.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace ohmroot::sounding::detail {
namespace {

struct Slip {
  double ln_off;  ///< what it does to the apparent resistivity
  double ln_room;
  std::string words;
};

std::vector<Slip> known_slips(const Point& point) {
  std::vector<Slip> slips;
  if (point.ln_factor > 1.0)
    slips.push_back(
        {point.ln_factor, 0.4, "the number were an apparent resistivity in ohm m instead of ohm"});
  for (const int places : {-3, -2, -1, 1, 2, 3})
    slips.push_back({places * std::log(10.0), 0.3,
                     fmt::format("{}the decimal mark had slipped: {} written, {} meant",
                                 std::abs(places) == 3 ? "the unit were another (ohm, kohm), or " : "",
                                 format_number(point.reading->resistance_ohm),
                                 format_number(point.reading->resistance_ohm * std::pow(10.0, -places)))});
  if (point.reading->array == Array::wenner)
    slips.push_back({-std::log(3.0), 0.12,
                     "the leads had been in the order B-A-M-N, which reads a third: check C1, P1, P2, C2"});
  return slips;
}

/// Slope of ln(apparent resistivity) over ln(spacing) from a node to the next.
std::optional<double> slope(const std::vector<Node>& curve, std::ptrdiff_t from) {
  if (from < 0 || from + 1 >= static_cast<std::ptrdiff_t>(curve.size())) return std::nullopt;
  const Node& near = curve[static_cast<std::size_t>(from)];
  const Node& far = curve[static_cast<std::size_t>(from + 1)];
  return (far.ln_apparent - near.ln_apparent) / (far.ln_spacing - near.ln_spacing);
}

bool has_three_digits(double resistance_ohm) {
  const double exponent = std::floor(std::log10(resistance_ohm));
  const double tens = resistance_ohm / std::pow(10.0, exponent - 1.0);  // 10 to 99.99...
  return std::abs(tens - std::round(tens)) > 1e-9 * tens;
}

/// Equal resistances of neighbours mean a curve as steep as layers allow; beside such a stretch a curve of
/// layers is steep too. Half of that is asked, so that noise does not count.
bool is_steep_beside(const std::vector<Node>& curve, std::ptrdiff_t near) {
  constexpr double steep = 0.5;
  const auto before = slope(curve, near - 1);
  const auto after = slope(curve, near + 1);
  if (!before && !after) return true;
  return std::max(before.value_or(-1.0), after.value_or(-1.0)) > steep;
}

}  // namespace

std::string slip_words(const Point& point, double ln_expected) {
  const double ln_off = point.ln_apparent - ln_expected;
  const Slip* best = nullptr;
  double least_miss = std::numeric_limits<double>::infinity();
  const std::vector<Slip> slips = known_slips(point);
  for (const Slip& slip : slips) {
    const double miss = std::abs(ln_off - slip.ln_off);
    if (miss < std::min(slip.ln_room, least_miss)) {
      best = &slip;
      least_miss = miss;
    }
  }
  return best == nullptr ? "" : "; it would fit if " + best->words;
}

std::vector<std::pair<std::size_t, std::size_t>> copied_pairs(const std::vector<Point>& points) {
  std::vector<const Point*> all;
  for (const Point& point : points)
    all.push_back(&point);
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (const std::vector<Node>& curve : curves_of(all)) {
    for (std::size_t i = 0; i + 1 < curve.size(); ++i) {
      const Point& near = *curve[i].points.front();
      const Point& far = *curve[i + 1].points.front();
      const bool is_same = near.reading->resistance_ohm == far.reading->resistance_ohm &&
                           has_three_digits(near.reading->resistance_ohm);
      if (is_same && !is_steep_beside(curve, static_cast<std::ptrdiff_t>(i)))
        pairs.emplace_back(near.index, far.index);
    }
  }
  return pairs;
}

}  // namespace ohmroot::sounding::detail
