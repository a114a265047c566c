// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/branch.hpp>
#include <ohmroot/supply/detail/locus.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace ohmroot::supply {

namespace {

using detail::Branch;
using detail::Neutral;
using detail::Phasor;

constexpr double unlimited = std::numeric_limits<double>::infinity();

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
  state.kirchhoff_residual_ratio = detail::residual_ratio(circuit, neutral, earth_current_a);
  return state;
}

OpenPenState constant_impedance_state(const OpenPenCircuit& circuit) {
  const double conductance_s = 1.0 / earth_side_of(circuit).loop_ohm;
  if (detail::star_of(circuit).size_s == 0.0 && conductance_s == 0.0) {
    return undecided(OpenPenStatus::not_covered,
                     "neither a load nor a path to earth holds the MET: its voltage is not defined");
  }
  const auto neutral = detail::linear_neutral(circuit, {conductance_s, {}});
  if (!neutral) {
    return undecided(OpenPenStatus::no_operating_point,
                     "generation balances or outweighs the loads and the paths to earth: constant "
                     "impedances give no state that is reached from the healthy one");
  }
  return state_at(circuit, *neutral);
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

OpenPenState several_phase_state(const OpenPenCircuit& circuit) {
  const detail::Locus locus(circuit);
  const auto [point, end] = locus.follow_to(earth_side_of(circuit).loop_ohm);
  if (end != detail::Locus::End::reached) {
    return undecided(OpenPenStatus::no_operating_point, detail::end_sentence(circuit, point, end));
  }
  Neutral neutral{point.displacement_v, {}};
  const auto direction = detail::phase_directions(circuit.is_sequence_reversed);
  for (std::size_t k = 0; k < 3; ++k)
    neutral.across_v[k] = circuit.source_v * direction[k] - point.displacement_v;
  return state_at(circuit, neutral);
}

}  // namespace

OpenPenState open_pen_state(const OpenPenCircuit& circuit) {
  detail::require_valid(circuit);
  const std::vector<DefiniteLoad> loads = detail::drawing_loads(circuit);
  if (detail::is_linear(loads)) return constant_impedance_state(circuit);
  if (detail::is_one_branch(loads)) return one_phase_state(circuit, loads);
  return several_phase_state(circuit);
}

}  // namespace ohmroot::supply
