// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// What the device of the stated probe makes of the MET; nothing without a probe.
[[nodiscard]] std::optional<routes::ProbeReading> probe_reading_of(const StudyResult& result);

/// Fills result.methods and result.routes from facts, site and study. Needs everything else in place.
void add_route_record(const routes::MethodFacts& facts, StudyResult& result);

}  // namespace ohmroot::study::detail
