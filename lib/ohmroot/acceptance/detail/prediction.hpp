// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/detail/stake_model.hpp>
#include <ohmroot/acceptance/fall_of_potential_test.hpp>

#include <optional>
#include <vector>

namespace ohmroot::acceptance::detail {

/// The electrode in each of its soils; up to one in twenty that the field solution refuses is left out. Throws DomainError for none, for a beyond_soil_ratio out of range, and as
/// solve_field().
[[nodiscard]] std::vector<StakeModel> models_of(const TestedElectrode& electrode,
                                                const std::optional<electrode::SurfacePlace>& given_start,
                                                double current_direction_deg);

/// Median and relative spread of what the soils predict.
struct Prediction {
  Estimate resistance_ohm;
  double deviation_ratio;  ///< standard deviation of ln R
};
[[nodiscard]] Prediction prediction_of(const std::vector<StakeModel>& models, double beyond_soil_ratio);

}  // namespace ohmroot::acceptance::detail
