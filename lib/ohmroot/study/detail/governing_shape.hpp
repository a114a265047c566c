// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// The governing candidate as it stands in the site file; null for a measured electrode, which has no dimensions.
[[nodiscard]] const Candidate* governing_shape(const StudyResult& result);

}  // namespace ohmroot::study::detail
