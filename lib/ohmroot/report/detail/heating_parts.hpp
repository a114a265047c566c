// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report::detail {

/// The electrode over time: the section of the page, and its part of the results.
void write_heating(Html& html, const study::StudyResult& result, FigureShelf& figures);
[[nodiscard]] text::Value heating_document(const study::HeatingResult& heating);

}  // namespace ohmroot::report::detail
