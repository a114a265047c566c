// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/supply/blind_case.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// Where a device that watches the charge point's phase is blind; nothing on one phase.
[[nodiscard]] std::optional<BlindRegion> blind_region_of(const StudyResult& result,
                                                         const std::optional<supply::BlindCase>& worst);

}  // namespace ohmroot::study::detail
