// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report::detail {

/// The record of the permitted methods: table, decisions, open points; and its part of the results.
void write_route_record(Html& html, const study::StudyResult& result);
[[nodiscard]] text::Value routes_document(const study::StudyResult& result);

/// "settled", "open" or "against the data".
[[nodiscard]] std::string_view route_outcome_name(study::RouteOutcome outcome);

}  // namespace ohmroot::report::detail
