// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/study/site.hpp>

#include <string>
#include <vector>

namespace ohmroot::study::detail {

/// What is to be said of the sounding as a whole: lines that disagree, spacings against the deepest and the widest
/// candidate, steps where MN is changed, bounds from over-range rows, the record above the tables and what it lacks.
[[nodiscard]] std::vector<std::string> sounding_notes(const SoilFromReadings& source, const Site& site,
                                                      const SoilPicture& soil);

}  // namespace ohmroot::study::detail
