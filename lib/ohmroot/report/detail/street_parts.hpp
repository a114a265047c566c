// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report::detail {

/// Own service and street side by side: the section of the page, and its part of the results.
void write_street(Html& html, const study::StudyResult& result);
[[nodiscard]] text::Value breaks_document(const study::StudyResult& result);

}  // namespace ohmroot::report::detail
