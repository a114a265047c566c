// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site_design.hpp>

namespace ohmroot::study::detail {

/// The design in that soil while the PEN stays open, at the middle of result.met_v. surface, where there is one, is around
/// the design in the same soil. Nothing where result holds no design. Throws DomainError as solve_field() does.
[[nodiscard]] std::optional<DesignOverTime> over_time_of(const Site& site, const DesignResult& result,
                                                         const earth::LayeredSoil& soil);

}  // namespace ohmroot::study::detail
