// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// What the metal near the governing candidate does to it and to its test, in its middle soil. Nothing without such
/// metal, or without a field solution of the candidate.
[[nodiscard]] std::optional<NearbyFinding> nearby_of(const StudyResult& result);

/// Touch voltage round the parking rectangle with the governing candidate energised, in its middle soil; metal joined to
/// it is left out, since it may be taken away. Nothing without a parking rectangle or a field solution.
[[nodiscard]] std::optional<VehicleTouch> vehicle_touch_of(const StudyResult& result);

}  // namespace ohmroot::study::detail
