// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <cstddef>
#include <optional>

namespace ohmroot::study::detail {

/// What a shape takes in rods, trench, conductor and plates. Rods apart are joined by the shortest run of their pattern;
/// a mesh is dug along every conductor.
[[nodiscard]] routes::ElectrodeBill bill_of(const electrode::Shape& shape);

/// Cost of a candidate by [route_prices], else, for rods alone where that has no price of them, by [design.prices] in the
/// same currency. Nothing without a candidate. Needs site.routes.prices.
[[nodiscard]] std::optional<routes::RouteCost> electrode_cost_of(const StudyResult& result,
                                                                 std::optional<std::size_t> candidate);

}  // namespace ohmroot::study::detail
