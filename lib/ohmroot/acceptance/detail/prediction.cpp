// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/prediction.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::acceptance::detail {
namespace {

constexpr std::size_t greatest_refused_divisor = 20;  // one soil in twenty

}  // namespace

std::vector<StakeModel> models_of(const TestedElectrode& electrode,
                                  const std::optional<electrode::SurfacePlace>& given_start,
                                  double current_direction_deg) {
  if (electrode.soils.empty()) throw DomainError("soils", "none", "at least one");
  require_within("beyond_soil_ratio", electrode.beyond_soil_ratio, "1", {0.02, 1.0});
  const electrode::SurfacePlace start = given_start.value_or(middle_of(electrode.metal));
  std::vector<std::optional<StakeModel>> slots(electrode.soils.size());
  std::vector<std::optional<DomainError>> refusals(electrode.soils.size());
  for_each_index(slots.size(), [&](std::size_t i) {
    try {
      slots[i].emplace(electrode.soils[i], electrode.metal, start, current_direction_deg);
    } catch (const DomainError& refusal) {
      refusals[i] = refusal;
    }
  });
  std::vector<StakeModel> models;
  const DomainError* first_refusal = nullptr;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    if (slots[i]) models.push_back(std::move(*slots[i]));
    if (refusals[i] && first_refusal == nullptr) first_refusal = &*refusals[i];
  }
  // a draw too extreme for the field solution may be missing, bad metal refuses all of them
  const std::size_t refused_count = slots.size() - models.size();
  if (first_refusal != nullptr && greatest_refused_divisor * refused_count > slots.size())
    throw *first_refusal;
  return models;
}

Prediction prediction_of(const std::vector<StakeModel>& models, double beyond_soil_ratio) {
  std::vector<double> ln_ohm;
  double mean = 0.0;
  for (const StakeModel& model : models) {
    ln_ohm.push_back(std::log(model.resistance_ohm()));
    mean += ln_ohm.back() / static_cast<double>(models.size());
  }
  double variance = 0.0;
  for (const double value : ln_ohm)
    variance += (value - mean) * (value - mean) / std::max(1.0, static_cast<double>(models.size()) - 1.0);
  std::sort(ln_ohm.begin(), ln_ohm.end());
  const double deviation_ratio = std::hypot(std::sqrt(variance), beyond_soil_ratio);
  const double middle_ohm = std::exp(quantile(ln_ohm, 0.5));
  const double end_ratio = central_end_ratio(deviation_ratio);
  return {
      {middle_ohm, middle_ohm / end_ratio, middle_ohm * end_ratio,
       fmt::format("field solution in {} soils that the site allows, and {} % for what is not of the soils",
                   models.size(), format_number(100.0 * beyond_soil_ratio, 2))},
      deviation_ratio};
}

}  // namespace ohmroot::acceptance::detail
