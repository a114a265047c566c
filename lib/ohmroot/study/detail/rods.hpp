// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// The rods of a shape that consists of equal rods; nothing for tapes, conductors and rings.
struct RodsOfShape {
  electrode::Rod rod;
  int rod_count;
};

[[nodiscard]] inline std::optional<RodsOfShape> rods_of(const electrode::Shape& shape) {
  if (const auto* rod = std::get_if<electrode::Rod>(&shape)) return RodsOfShape{*rod, 1};
  if (const auto* line = std::get_if<electrode::RodLine>(&shape))
    return RodsOfShape{line->rod, line->rod_count};
  if (const auto* square = std::get_if<electrode::RodSquare>(&shape)) {
    return RodsOfShape{square->rod, 4 * (square->rods_per_side - 1)};
  }
  if (const auto* triangle = std::get_if<electrode::RodTriangle>(&shape))
    return RodsOfShape{triangle->rod, 3};
  return std::nullopt;
}

}  // namespace ohmroot::study::detail
