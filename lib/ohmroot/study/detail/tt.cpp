// SPDX-License-Identifier: MIT
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/tt.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::study::detail {

std::optional<std::size_t> tt_candidate(const StudyResult& result) {
  const auto& place = result.site.separation.tt_electrode;
  if (!place || result.site.candidates.empty()) return result.governing_candidate;
  const std::string& name = place->candidate.empty() ? result.site.candidates.front().name : place->candidate;
  const auto found = std::find_if(result.candidates.begin(), result.candidates.end(),
                                  [&](const CandidateResult& candidate) { return candidate.name == name; });
  if (found == result.candidates.end()) return result.governing_candidate;
  return static_cast<std::size_t>(found - result.candidates.begin());
}

void judge_tt(StudyResult& result) {
  const auto index = tt_candidate(result);
  if (!index) return;
  const Site& site = result.site;
  const CandidateResult& candidate = result.candidates[*index];
  Estimate alone_ohm = study::alone_ohm(site, candidate);  // on TT no other path to earth is there
  if (!std::isfinite(alone_ohm.greatest)) return;
  alone_ohm.basis = fmt::format("'{}' alone, worst season, earthing conductor included", candidate.name);
  result.tt = routes::check_tt(alone_ohm, site.tt_limit_v);
  result.tt_fault = routes::tt_fault({site.supply.nominal_v, alone_ohm, site.supply.source_earth_ohm});
}

}  // namespace ohmroot::study::detail
