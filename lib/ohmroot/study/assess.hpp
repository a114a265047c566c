// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/study/site.hpp>

namespace ohmroot::study {

/// The whole job for one site: soil, candidates, open-PEN requirement, floor, TT, other routes, verdict.
/// Throws DomainError if the site holds neither soil data nor a measured electrode, or no load.
///
/// Feasible: the 95 % end of a candidate's resistance (worst season, earthing conductor included) is below
/// the strictest limit, and nothing caps the verdict (evidence, season, break, load model, rules held).
/// Not feasible: the 5 % end of every candidate is above the most lenient limit. Otherwise: cannot be
/// decided, with the cheapest measurement that would decide.
[[nodiscard]] StudyResult assess(Site site);

/// The soil part alone: readings reduced, judged and fitted, or the words and layers as given.
[[nodiscard]] SoilPicture
soil_picture(const Site& site,
             sounding::StakeDepthRule depth_rule = sounding::StakeDepthRule::effective_point);

}  // namespace ohmroot::study
