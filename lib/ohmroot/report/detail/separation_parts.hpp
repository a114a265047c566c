// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report::detail {

/// What metal on the PME earth transfers, and what is within arm's reach: the section of the page, and its part of the
/// results.
void write_separation(Html& html, const study::StudyResult& result, FigureShelf& figures);
[[nodiscard]] text::Value separation_document(const study::SeparationResult& separation);

}  // namespace ohmroot::report::detail
