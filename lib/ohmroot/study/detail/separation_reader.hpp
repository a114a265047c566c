// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>
#include <ohmroot/text/fields.hpp>

namespace ohmroot::study::detail {

/// Where a candidate stands, if it says so.
struct CandidatePlaces {
  std::optional<electrode::SurfacePlace> at;
  std::optional<electrode::SurfacePlace> direction_to;
};
[[nodiscard]] CandidatePlaces candidate_places(const text::Section& section);

/// [[pme_metal]], [[nearby_metal]], [[metal_above]], [parking] and [tt_electrode] under the root of a site document. The candidates
/// must have been read.
[[nodiscard]] SeparationFacts read_separation(const text::Section& root,
                                              const std::vector<Candidate>& candidates);

}  // namespace ohmroot::study::detail
