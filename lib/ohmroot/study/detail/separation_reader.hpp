// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>
#include <ohmroot/text/fields.hpp>

namespace ohmroot::study::detail {

/// [[pme_metal]], [[metal_above]], [parking] and [tt_electrode] under the root of a site document. The candidates
/// must have been read.
[[nodiscard]] SeparationFacts read_separation(const text::Section& root,
                                              const std::vector<Candidate>& candidates);

}  // namespace ohmroot::study::detail
