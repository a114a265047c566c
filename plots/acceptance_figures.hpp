// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/acceptance/retest.hpp>

#include <optional>
#include <plots/figure.hpp>
#include <vector>

namespace ohmroot::plots {

/// Readings against the potential stake's distance, for each place of the current stake, with the model through
/// them, the resistance with its interval, the place that reads right and the 61.8 % place, the acceptance value.
/// Nothing without a straight curve or a resistance.
[[nodiscard]] std::optional<FigureScript> fall_of_potential_figure(const acceptance::TestResult& result);

/// Tests of one electrode over the years, worst season, with their intervals and the limit (infinity: none). Nothing
/// for fewer than two tests. Throws DomainError as retest_trend().
[[nodiscard]] std::optional<FigureScript> retest_figure(const std::vector<acceptance::RegisterEntry>& entries,
                                                        double strictest_ohm);

}  // namespace ohmroot::plots
