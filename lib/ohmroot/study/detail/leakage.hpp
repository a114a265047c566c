// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// Where the current leaves the conductors of a shape, by the field solution in one soil. Conductors that leak
/// alike (within 0.1 %, as those that lie symmetrically do) are given once. Throws DomainError where the field
/// solution refuses shape or soil.
[[nodiscard]] LeakageCurve leakage_of(const electrode::Shape& shape, const earth::LayeredSoil& soil);

}  // namespace ohmroot::study::detail
