// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/branch.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace ohmroot::supply {

namespace {

using detail::Branch;
using detail::Phasor;
using detail::Star;

constexpr double unlimited = std::numeric_limits<double>::infinity();
// Below this share of the admittances the rest of a sum is rounding.
constexpr double cancelled_ratio = 1e-12;

struct EarthSide {
  double path_ohm = unlimited;  // all paths in parallel
  double loop_ohm = unlimited;  // paths and source earth in series
};

EarthSide earth_side_of(const OpenPenCircuit& circuit) {
  EarthSide side;
  if (circuit.earth_path_ohm.empty()) return side;
  double conductance_s = 0.0;
  for (const double path_ohm : circuit.earth_path_ohm)
    conductance_s += 1.0 / path_ohm;
  side.path_ohm = 1.0 / conductance_s;
  side.loop_ohm = side.path_ohm + circuit.source_earth_ohm;
  return side;
}

OpenPenState undecided(OpenPenStatus status, std::string why) {
  OpenPenState state;
  state.status = status;
  state.why = std::move(why);
  return state;
}

/// Where the neutral floats to, and what that leaves across the loads. The voltages are found apart from each
/// other: a small one must not be the difference of two large ones.
struct Neutral {
  Phasor displacement_v;             // star point to neutral
  std::array<Phasor, 3> across_v{};  // each phase to neutral
};

double residual_ratio(const OpenPenCircuit& circuit, const Neutral& neutral, Phasor earth_current_a) {
  Phasor surplus_a = -earth_current_a;
  double total_a = 0.0;
  for (const DefiniteLoad& load : detail::drawing_loads(circuit)) {
    const Phasor across_v = neutral.across_v[static_cast<std::size_t>(load.phase - 1)];
    const double across_size_v = std::abs(across_v);
    if (across_size_v == 0.0) continue;
    const Phasor current_a = detail::current_at_a(load, across_size_v, circuit.nominal_v) *
                             detail::current_direction(load) * (across_v / across_size_v);
    surplus_a += current_a;
    total_a += std::abs(current_a);
  }
  return total_a > 0.0 ? std::abs(surplus_a) / total_a : 0.0;
}

/// Everything that follows from the neutral's place.
OpenPenState state_at(const OpenPenCircuit& circuit, const Neutral& neutral) {
  OpenPenState state;
  const EarthSide side = earth_side_of(circuit);
  const Phasor loop_current_a = neutral.displacement_v / side.loop_ohm;  // zero without a path: x / infinity
  state.star_point_v = -loop_current_a * circuit.source_earth_ohm;
  state.met_v = circuit.earth_path_ohm.empty() ? neutral.displacement_v : loop_current_a * side.path_ohm;
  std::transform(neutral.across_v.begin(), neutral.across_v.end(), state.line_to_neutral_v.begin(),
                 [](Phasor across_v) { return std::abs(across_v); });
  const double met_size_v = std::abs(state.met_v);
  Phasor earth_current_a;
  for (const double path_ohm : circuit.earth_path_ohm) {
    state.path_current_a.push_back(met_size_v / path_ohm);
    state.path_power_w.push_back(met_size_v * met_size_v / path_ohm);
    state.electrode_power_w += state.path_power_w.back();
    earth_current_a += state.met_v / path_ohm;
  }
  state.electrode_current_a = std::abs(earth_current_a);
  state.kirchhoff_residual_ratio = residual_ratio(circuit, neutral, earth_current_a);
  return state;
}

OpenPenState constant_impedance_state(const OpenPenCircuit& circuit) {
  const Star star = detail::star_of(circuit);
  const double conductance_s = 1.0 / earth_side_of(circuit).loop_ohm;
  if (star.size_s == 0.0 && conductance_s == 0.0) {
    return undecided(OpenPenStatus::not_covered,
                     "neither a load nor a path to earth holds the MET: its voltage is not defined");
  }
  const Phasor total_s = star.total_s + conductance_s;
  const double rounding_s = cancelled_ratio * (star.size_s + conductance_s);
  const bool is_pole_passed = std::abs(star.total_s.imag()) <= rounding_s && total_s.real() <= rounding_s;
  if (is_pole_passed || std::abs(total_s) <= rounding_s) {
    return undecided(OpenPenStatus::no_operating_point,
                     "generation balances or outweighs the loads and the paths to earth: constant "
                     "impedances give no state that is reached from the healthy one");
  }
  // E_k - N / (D + g) = (g E_k + sum of Y_j (E_k - E_j)) / (D + g)
  const auto direction = detail::phase_directions(circuit.is_sequence_reversed);
  Neutral neutral{star.drive_a / total_s, {}};
  for (std::size_t k = 0; k < 3; ++k) {
    Phasor pull_s = conductance_s * direction[k];
    for (std::size_t j = 0; j < 3; ++j)
      pull_s += star.admittance_s[j] * (direction[k] - direction[j]);
    neutral.across_v[k] = circuit.source_v * pull_s / total_s;
  }
  return state_at(circuit, neutral);
}

OpenPenState one_phase_state(const OpenPenCircuit& circuit, const std::vector<DefiniteLoad>& loads) {
  const Branch branch(circuit, loads);
  const double loop_ohm = earth_side_of(circuit).loop_ohm;
  const auto [point, is_end] =
      branch.follow([loop_ohm](const Branch::Point& at) { return at.resistance_ohm - loop_ohm; });
  if (is_end) {
    return undecided(
        OpenPenStatus::no_operating_point,
        fmt::format("the operating point reached from the healthy state is lost where the way back through "
                    "earth exceeds {:.4g} ohm, at {:.4g} V across the loads: they cannot draw what they are "
                    "rated for, and what drops out then sets the voltage",
                    point.resistance_ohm, point.load_v));
  }
  const auto phase = static_cast<std::size_t>(loads.front().phase - 1);
  const auto direction = detail::phase_directions(circuit.is_sequence_reversed);
  const Phasor loop_v = loop_ohm * point.current_a;  // seen from the loads' voltage
  const Phasor turn = direction[phase] / (point.load_v + loop_v);
  const Phasor unit_turn = turn / std::abs(turn);
  Neutral neutral{loop_v * unit_turn, {}};
  for (std::size_t k = 0; k < 3; ++k) {
    neutral.across_v[k] =
        k == phase ? point.load_v * unit_turn : circuit.source_v * direction[k] - neutral.displacement_v;
  }
  return state_at(circuit, neutral);
}

}  // namespace

OpenPenState open_pen_state(const OpenPenCircuit& circuit) {
  detail::require_valid(circuit);
  const std::vector<DefiniteLoad> loads = detail::drawing_loads(circuit);
  const auto is_linear = [](const DefiniteLoad& load) { return load.model == LoadModel::constant_impedance; };
  if (std::all_of(loads.begin(), loads.end(), is_linear)) return constant_impedance_state(circuit);
  if (std::any_of(loads.begin(), loads.end(),
                  [](const DefiniteLoad& load) { return load.current_a < 0.0; })) {
    return undecided(OpenPenStatus::not_covered,
                     "generation beside loads of constant current or constant power is not decided here");
  }
  const int phase = loads.front().phase;
  if (std::any_of(loads.begin(), loads.end(), [phase](const auto& load) { return load.phase != phase; })) {
    return undecided(OpenPenStatus::not_covered,
                     "loads on several phases, of which one has constant current or constant power, are not "
                     "decided here");
  }
  return one_phase_state(circuit, loads);
}

}  // namespace ohmroot::supply
