// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/acceptance/other_method.hpp>
#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report {

/// An acceptance test: verdict, resistance, prediction, limits, findings, curves by rule and by field solution.
[[nodiscard]] text::Value acceptance_document(const acceptance::TestResult& result);
[[nodiscard]] text::Value acceptance_document(const acceptance::OtherTestResult& result);
[[nodiscard]] text::Value register_document(const std::vector<acceptance::RegisterEntry>& entries);
[[nodiscard]] text::Value retest_document(const acceptance::RetestTrend& trend);

}  // namespace ohmroot::report
