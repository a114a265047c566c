// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::study {

/// What a study knows of the electrode that is tested.
struct AsBuilt {
  std::size_t candidate = 0;  ///< of the site
  acceptance::TestedElectrode electrode;
  acceptance::Criterion criterion;
  std::vector<std::string> remarks;  ///< what the verdict does not cover
};

/// The candidate that the sheet names (without a name: the only one, else the one that the study's verdict speaks
/// of), in at most 40 of the soils that the data allow, with the site's limits for a break in the own service. The
/// season factor is the sheet's; else the site's, if the test was made in the month that it counts from; else
/// there is none, and the prediction is widened by it.
/// Throws DomainError if the study has no soil, no candidate, or none of that name.
[[nodiscard]] AsBuilt as_built(const StudyResult& result, const acceptance::TestSheet& sheet);

/// The strictest limit that applies today to all ways to earth together, for a break in the own service. [ohm]
/// infinity: no electrode is needed; 0: no resistance suffices, or for one of the load models no limit was found.
[[nodiscard]] double strictest_limit_ohm(const supply::RequirementSpan& span);

}  // namespace ohmroot::study
