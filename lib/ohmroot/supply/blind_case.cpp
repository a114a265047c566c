// SPDX-License-Identifier: MIT
#include <ohmroot/supply/blind_case.hpp>
#include <ohmroot/supply/detail/question.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmroot::supply {

namespace {

constexpr int level_count = 20;

std::vector<int> charge_point_phases(const RequirementQuestion& question) {
  std::vector<int> phases;
  for (const Load& load : question.loads) {
    if (load.charge_point == ChargePoint::none) continue;
    if (std::find(phases.begin(), phases.end(), load.phase) == phases.end()) phases.push_back(load.phase);
  }
  std::sort(phases.begin(), phases.end());
  return phases;
}

/// Sets of phases that a device may watch at once.
std::vector<std::vector<int>> watches(const RequirementQuestion& question) {
  if (const auto phases = charge_point_phases(question); !phases.empty()) return {phases};
  if (question.supply.phase_count == 1) return {{1}};
  return {{1}, {2}, {3}};
}

OpenPenCircuit circuit_at(const RequirementQuestion& question, double source_v,
                          const std::array<int, 3>& level) {
  OpenPenCircuit circuit = detail::bare_circuit(question.supply, source_v);
  for (const Load& load : question.loads) {
    const double share = level[static_cast<std::size_t>(load.phase - 1)] / static_cast<double>(level_count);
    const double current_a = std::lerp(load.least_current_a, load.greatest_current_a, share);
    circuit.loads.push_back(detail::definite(load, LoadModel::constant_impedance, current_a));
  }
  return circuit;
}

bool is_blind(const std::vector<int>& watched, const std::array<bool, 3>& outside) {
  return std::none_of(watched.begin(), watched.end(),
                      [&outside](int phase) { return outside[static_cast<std::size_t>(phase - 1)]; });
}

}  // namespace

std::optional<BlindCase> blind_case(const RequirementQuestion& question, const VoltageWindow& window) {
  detail::require_valid(question);
  const Supply& supply = question.supply;
  const std::vector<std::vector<int>> device_watches = watches(question);
  BlindCase worst;
  worst.met_v = -1.0;
  const auto try_case = [&](const OpenPenCircuit& circuit) {
    const OpenPenState state = open_pen_state(circuit);
    const double met_v = std::abs(state.met_v);
    if (state.status != OpenPenStatus::solved || met_v <= worst.met_v) return;
    const std::array<bool, 3> outside = is_outside_window(state.line_to_neutral_v, window);
    const auto watched =
        std::find_if(device_watches.begin(), device_watches.end(),
                     [&outside](const std::vector<int>& phases) { return is_blind(phases, outside); });
    if (watched == device_watches.end()) return;
    worst = {met_v, circuit.source_v, {}, state.line_to_neutral_v, *watched};
    for (const DefiniteLoad& load : circuit.loads) {
      worst.phase_current_a[static_cast<std::size_t>(load.phase - 1)] += load.current_a;
    }
  };
  const int other_level_count = supply.phase_count == 3 ? level_count : 0;
  for (const double source_v :
       {supply.lowest_v, std::midpoint(supply.lowest_v, supply.highest_v), supply.highest_v}) {
    for (int first = 0; first <= level_count; ++first) {
      for (int second = 0; second <= other_level_count; ++second) {
        for (int third = 0; third <= other_level_count; ++third) {
          try_case(circuit_at(question, source_v, {first, second, third}));
        }
      }
    }
  }
  if (worst.watched_phases.empty()) return std::nullopt;
  return worst;
}

}  // namespace ohmroot::supply
