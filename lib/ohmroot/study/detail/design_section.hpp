// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>
#include <ohmroot/text/fields.hpp>

namespace ohmroot::study::detail {

/// Reads [design]; land is what [land] gave, if it did.
[[nodiscard]] DesignBrief read_design(const text::Section& section, const std::optional<Land>& land);

}  // namespace ohmroot::study::detail
