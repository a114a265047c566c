// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/log_state.hpp>
#include <ohmroot/supply/detail/worst_case.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <algorithm>
#include <bit>

namespace ohmroot::supply::detail {

namespace {

constexpr std::size_t known_count = std::size_t{1} << 15U;

std::size_t slot_of(const PhaseLoads& loads) {
  std::uint64_t hash = 0;
  for (const auto* part : {&loads.active_a, &loads.reactive_a}) {
    for (const double value : *part)
      hash = (hash ^ std::bit_cast<std::uint64_t>(value)) * 0x9e3779b97f4a7c15U;
  }
  return static_cast<std::size_t>(hash >> 40U) % known_count;
}

}  // namespace

LogState::LogState(const LoadLogQuestion& question)
    : question_(question), model_(question.model), has_charge_(question.charge.has_value()),
      side_(std::sqrt(3.0) / (question.supply.is_sequence_reversed ? 2.0 : -2.0)),
      source_v_(question.supply.highest_v) {
  if (question.electrode_ohm) electrode_a_ = question.supply.nominal_v / *question.electrode_ohm;
  limit_ratio2_ = source_v_ * source_v_ / (question.limit_v * question.limit_v);
  per_nominal_ = 1.0 / question.supply.nominal_v;
  if (model_ != LoadModel::constant_impedance) known_.resize(known_count);
}

LogMet LogState::other_met(const PhaseLoads& loads) {
  Known& known = known_[slot_of(loads)];
  if (known.is_filled && known.loads.active_a == loads.active_a && known.loads.reactive_a == loads.reactive_a)
    return known.met;
  LogMet met;
  met.needed_s = -1.0;
  OpenPenCircuit circuit;
  circuit.nominal_v = question_.supply.nominal_v;
  circuit.is_sequence_reversed = question_.supply.is_sequence_reversed;
  for (std::size_t k = 0; k < 3; ++k) {
    const double size_a = std::hypot(loads.active_a[k], loads.reactive_a[k]);
    if (size_a == 0.0) continue;
    // An export keeps its power factor: both parts turn round with it.
    const double sign = loads.active_a[k] < 0.0 ? -1.0 : 1.0;
    circuit.loads.push_back({static_cast<int>(k + 1), sign * size_a,
                             std::clamp(std::abs(loads.active_a[k]) / size_a, 1e-6, 1.0),
                             sign * loads.reactive_a[k] < 0.0, model_});
  }
  met.is_loaded = !circuit.loads.empty();
  const auto met_v = [](const OpenPenState& state) {
    return state.status == OpenPenStatus::solved ? std::abs(state.met_v)
                                                 : std::numeric_limits<double>::infinity();
  };
  if (met.is_loaded) {
    for (const double source_v : {question_.supply.lowest_v, question_.supply.highest_v}) {
      circuit.source_v = source_v;
      circuit.earth_path_ohm.clear();
      met.without_v = std::max(met.without_v, met_v(open_pen_state(circuit)));
      met.needed_s = std::max(met.needed_s, need_of(circuit, question_.limit_v).conductance_s);
      if (!question_.electrode_ohm) continue;
      circuit.earth_path_ohm = {*question_.electrode_ohm};
      met.with_v = std::max(met.with_v, met_v(open_pen_state(circuit)));
    }
  }
  known = {loads, met, true};
  return met;
}

void LogState::worsen_by_charge(const PhaseLoads& loads, LogMet& met) {
  const PlannedCharge& charge = *question_.charge;
  PhaseLoads charging = loads;
  for (std::size_t k = 0; k < static_cast<std::size_t>(question_.supply.phase_count); ++k) {
    if (charge.phase != 0 && static_cast<std::size_t>(charge.phase - 1) != k) continue;
    double added_a = charge.current_a;
    if (charge.managed_to_a && charge.does_fail_safe)
      added_a = std::clamp(*charge.managed_to_a - loads.active_a[k], 0.0, added_a);
    charging.active_a[k] += added_a;
  }
  const LogMet on = model_ == LoadModel::constant_impedance ? impedance_met(charging) : other_met(charging);
  met.is_worse_charging = on.without_v > met.without_v;
  met.without_v = std::max(met.without_v, on.without_v);
  met.with_v = std::max(met.with_v, on.with_v);
  met.needed_s = std::max(met.needed_s, on.needed_s);
  met.is_loaded = met.is_loaded || on.is_loaded;
}

}  // namespace ohmroot::supply::detail
