// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// The field around a shape in one soil, as shares of its own potential: on the surface, in the upright plane
/// through its middle along x, and beyond its end along x. Throws DomainError where the field solution refuses.
[[nodiscard]] Surroundings surroundings_of(const electrode::Shape& shape, const earth::LayeredSoil& soil);

}  // namespace ohmroot::study::detail
