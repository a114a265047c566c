// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::sounding::detail {

/// Beyond this many standard deviations a reading is doubted.
inline constexpr double allowed_sigma = 3.0;
/// Readings at fewer spacings are no curve.
inline constexpr std::size_t least_curve_size = 5;

/// One reading as the checks see it.
struct Point {
  std::size_t index;
  const FourPoleReading* reading;
  double ln_spacing;   // unit: ln of m
  double ln_factor;    // unit: ln of m
  double ln_apparent;  // unit: ln of ohm m
};
[[nodiscard]] std::vector<Point> points_of(const std::vector<FourPoleReading>& readings);

/// Standard deviation of the ratio of two readings.
[[nodiscard]] double joint_error(const Point& a, const Point& b);

/// "reading 6 at a = 8 m (line 14)"
[[nodiscard]] std::string name_of(const Point& point);
/// "38 % above", "12 times"
[[nodiscard]] std::string off_words(double ln_ratio);

/// Readings at one spacing, as one point of a curve.
struct Node {
  std::vector<const Point*> points;
  double ln_spacing = 0.0;
  double ln_apparent = 0.0;
  double ln_error = 0.0;
};

/// Curves that ought to be smooth: one line, one array and, where MN or the dipoles have a length of their
/// own, one length, since a curve steps where MN is changed. Each sorted by spacing. Stakes by coordinates make
/// no curve.
[[nodiscard]] std::vector<std::vector<Node>> curves_of(const std::vector<const Point*>& points);

struct Outlier {
  std::size_t position;
  double ln_off;        ///< from the nearest end of what the neighbours allow
  double ln_predicted;  // unit: ln of ohm m; the curve through the neighbours
  double sigma_count;
};
/// How far an inner node lies outside what up to two neighbours on each side allow.
[[nodiscard]] Outlier outlier_at(const std::vector<Node>& curve, std::size_t position);
/// The one farthest outside, if any is beyond the allowed.
[[nodiscard]] std::optional<Outlier> worst_outlier(const std::vector<Node>& curve);

}  // namespace ohmroot::sounding::detail
