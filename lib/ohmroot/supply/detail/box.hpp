// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

namespace ohmroot::supply::detail {

/// A point of the unit box and the value of a function there.
struct BoxPoint {
  std::vector<double> at;  // each coordinate in [0, 1]
  double value = 0.0;
};
/// Must be finite in the whole box.
using BoxFunction = std::function<double(const std::vector<double>&)>;

/// Greatest value over the corners: all of them, so 2^dimension_count evaluations.
[[nodiscard]] BoxPoint greatest_at_corners(const BoxFunction& function, std::size_t dimension_count);

/// Greatest value found inside by climbing along one coordinate after the other, from the point given, from
/// the middle and from a few fixed random points. Never below the point given; not a proof.
[[nodiscard]] BoxPoint greatest_inside(const BoxFunction& function, const BoxPoint& start);

}  // namespace ohmroot::supply::detail
