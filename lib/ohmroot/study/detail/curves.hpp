// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// Fills in the data of the figures from a result whose verdict is already there.
void add_curves(StudyResult& result);

}  // namespace ohmroot::study::detail
