// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/page.hpp>
#include <ohmroot/study/result.hpp>

#include <string>
#include <vector>

namespace ohmroot::report {

/// The record of the permitted methods as a document of its own, and with it the justification of TT: which methods were
/// considered and why not, separation with its date, bridging checks, R_A and season, RCD, what TT does not protect, what
/// is still open, cautions. Prints to A4. Texts that somebody wrote stand in it as they are; nothing is said to be settled
/// that the data leave open.
[[nodiscard]] std::string route_page(const study::StudyResult& result, const std::vector<Figure>& figures);

}  // namespace ohmroot::report
