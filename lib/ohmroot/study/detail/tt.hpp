// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <optional>

namespace ohmroot::study::detail {

/// The candidate that would be the TT electrode: the one that [tt_electrode] names, else the one that the verdict
/// speaks of. Needs result.candidates and result.governing_candidate.
[[nodiscard]] std::optional<std::size_t> tt_candidate(const StudyResult& result);

/// Fills result.tt and result.tt_fault; leaves them empty while no resistance to earth is known.
void judge_tt(StudyResult& result);

}  // namespace ohmroot::study::detail
