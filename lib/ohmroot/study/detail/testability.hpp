// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/search.hpp>
#include <ohmroot/study/site_design.hpp>

#include <optional>

namespace ohmroot::study::detail {

/// Whether a fall-of-potential test can prove a design where the leads can be run so far: the current stake's distance
/// from the middle of the electrode at which the reading at 61.8 % is within 2 %, greatest over two directions and a few
/// draws of the ground, by the field solution. Without a stated run, or where the solution refuses, nothing is shown.
[[nodiscard]] Testability testability_of(const design::Arrangement& arrangement,
                                         const design::Question& question, std::optional<double> lead_run_m);

/// The same, as the search asks it: the cost of the lead where a test can prove the arrangement. A run that is not stated
/// rules nothing out.
[[nodiscard]] design::TestCost test_cost_of(const design::Question& question,
                                            std::optional<double> lead_run_m);

}  // namespace ohmroot::study::detail
