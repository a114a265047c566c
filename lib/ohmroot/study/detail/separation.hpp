// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/separation.hpp>
#include <ohmroot/study/result.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// Throws DomainError where the metal is none that can be solved.
[[nodiscard]] routes::PmeMetal metal_of(const StatedMetal& stated);

[[nodiscard]] electrode::Outline outline_of(const StatedParking& parking);

/// What that metal brings to the probe of a device, in the middle soil. Throws DomainError as routes::transfer().
[[nodiscard]] routes::Transfer probe_transfer(const StudyResult& result, const StatedProbe& probe);

/// What the site's metal on the PME earth transfers, and what is within arm's reach. Nothing where the site states
/// neither; the soil and the open-PEN state must have been found.
[[nodiscard]] std::optional<SeparationResult> separation_of(const StudyResult& result);

}  // namespace ohmroot::study::detail
