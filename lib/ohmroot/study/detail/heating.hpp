// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// The governing candidate with the PEN open, over time; result holds its field solution and its leakage curve.
[[nodiscard]] HeatingResult heating_of(const StudyResult& result, const electrode::Shape& shape);

}  // namespace ohmroot::study::detail
