// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// The field around a shape in one soil, as shares of its own potential: on the surface, in the upright plane
/// through its middle along x, and beyond its end along x. Throws DomainError where the field solution refuses.
[[nodiscard]] Surroundings surroundings_of(const electrode::Shape& shape, const earth::LayeredSoil& soil);

/// Shares of an electrode's potential on the surface, over a rectangle of the plan: x and y.
struct PlanWindow {
  double x_from_m;
  double x_to_m;
  double y_from_m;
  double y_to_m;
};
[[nodiscard]] ShareGrid surface_shares(const electrode::Electrode& metal, const earth::LayeredSoil& soil,
                                       const PlanWindow& window);

}  // namespace ohmroot::study::detail
