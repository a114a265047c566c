// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <string>

namespace ohmroot::study::detail {

/// Judges every candidate for a break in the own service alone and, where the street is known, for a break up
/// the street; the candidate's own verdict becomes the worse of the two. Candidates must have been judged.
void compare_breaks(StudyResult& result);

/// The break that the verdict holds for: "own service (...)", "not stated; ...".
[[nodiscard]] std::string break_words(const StudyResult& result);

/// Where the PEN may break while a feasible candidate holds: "in the property's own service", ...
[[nodiscard]] std::string held_break_words(const StudyResult& result);

/// The two answers for the candidate that governs, to stand behind the headline; empty if only one is asked.
[[nodiscard]] std::string side_by_side_words(const StudyResult& result);

/// The numbers of the street's answer where it is the worse one and so the one that the verdict rests on; else empty.
[[nodiscard]] std::string street_rest_words(const StudyResult& result);

}  // namespace ohmroot::study::detail
