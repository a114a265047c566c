// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/circuit.hpp>
#include <ohmroot/supply/detail/branch.hpp>
#include <ohmroot/supply/detail/locus.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace ohmroot::supply {

namespace {

using detail::Holding;
using detail::Locus;
using detail::Neutral;
using detail::Phasor;

double conductance_s(const Customer& customer) {
  double sum_s = customer.electrode_ohm ? 1.0 / *customer.electrode_ohm : 0.0;
  for (const double path_ohm : customer.bonded_metalwork_ohm)
    sum_s += 1.0 / path_ohm;
  return sum_s;
}

void require_path(std::string_view argument, double path_ohm) {
  require_within(argument, path_ohm, "ohm", {1e-6, 1e12});
}

void require_valid(const SupplyCircuit& circuit) {
  if (!(circuit.break_ohm >= 0.0))
    throw DomainError("circuit.break_ohm", circuit.break_ohm, "ohm", "at least 0, infinite if open");
  for (const double path_ohm : circuit.network_earth_beyond_ohm)
    require_path("circuit.network_earth_beyond_ohm", path_ohm);
  for (const Customer& customer : circuit.customers) {
    if (customer.electrode_ohm) require_path("customer.electrode_ohm", *customer.electrode_ohm);
    for (const double path_ohm : customer.bonded_metalwork_ohm)
      require_path("customer.bonded_metalwork_ohm", path_ohm);
  }
  const auto beyond_count = std::count_if(circuit.customers.begin(), circuit.customers.end(),
                                          [](const Customer& customer) { return customer.is_beyond_break; });
  if (beyond_count == 0 || (circuit.place == BreakPlace::own_service && beyond_count != 1)) {
    throw DomainError("circuit.customers", static_cast<double>(beyond_count), "beyond the break",
                      circuit.place == BreakPlace::own_service ? "one" : "at least one");
  }
  if (!circuit.fault) return;
  require_path("fault.resistance_ohm", circuit.fault->resistance_ohm);
  if (circuit.fault->customer >= circuit.customers.size())
    throw DomainError("fault.customer", static_cast<double>(circuit.fault->customer), "",
                      "a customer's place");
  if (circuit.fault->phase < 1 || circuit.fault->phase > 3)
    throw DomainError("fault.phase", circuit.fault->phase, "", "1, 2 or 3");
}

/// All that hangs on the floating neutral, as one circuit.
OpenPenCircuit floating_side(const SupplyCircuit& circuit) {
  OpenPenCircuit floating{
      circuit.source_v, circuit.nominal_v, circuit.is_sequence_reversed, circuit.source_earth_ohm, {}, {}};
  for (const Customer& customer : circuit.customers) {
    for (const DefiniteLoad& load : customer.loads)
      detail::require_valid(load);
    if (customer.is_beyond_break)
      floating.loads.insert(floating.loads.end(), customer.loads.begin(), customer.loads.end());
  }
  const auto& fault = circuit.fault;
  if (fault && fault->to == LineFault::To::met && circuit.customers[fault->customer].is_beyond_break)
    floating.loads.push_back({fault->phase, std::min(1e6, circuit.nominal_v / fault->resistance_ohm)});
  detail::require_valid(floating);
  return floating;
}

/// The ways from neutral and star point to earth. With V from star point to neutral, a fault of conductance f
/// from phase k to true earth, P at the neutral and S at the star point, no net current enters the earth:
/// V_S (S + P + f) = -(P V + f E_k).
struct Earths {
  double neutral_s = 0.0;
  double star_s = 0.0;  // infinite: the star point is true earth
  double fault_s = 0.0;
  Phasor fault_source_v;

  [[nodiscard]] Phasor star_point_v(Phasor displacement_v) const {
    if (std::isinf(star_s)) return {};
    return -(neutral_s * displacement_v + fault_s * fault_source_v) / (star_s + neutral_s + fault_s);
  }
  /// What leaves the neutral to earth, as a conductance to the star point and a constant current.
  [[nodiscard]] Holding holding() const {
    if (std::isinf(star_s)) return {neutral_s, {}};
    const double share = neutral_s / (star_s + neutral_s + fault_s);
    return {share * (star_s + fault_s), -share * fault_s * fault_source_v};
  }
};

Earths earths_of(const SupplyCircuit& circuit) {
  Earths earths;
  earths.star_s = 1.0 / circuit.source_earth_ohm;  // infinite for 0 ohm
  for (const double path_ohm : circuit.network_earth_beyond_ohm)
    earths.neutral_s += 1.0 / path_ohm;
  for (const Customer& customer : circuit.customers)
    (customer.is_beyond_break ? earths.neutral_s : earths.star_s) += conductance_s(customer);
  if (circuit.fault && circuit.fault->to == LineFault::To::true_earth) {
    earths.fault_s = 1.0 / circuit.fault->resistance_ohm;
    earths.fault_source_v =
        circuit.source_v *
        detail::phase_directions(
            circuit.is_sequence_reversed)[static_cast<std::size_t>(circuit.fault->phase - 1)];
  }
  return earths;
}

CustomerState customer_state(const SupplyCircuit& circuit, const CircuitState& state, const Neutral& neutral,
                             std::size_t index) {
  const Customer& customer = circuit.customers[index];
  CustomerState seen;
  seen.name = customer.name;
  const auto direction = detail::phase_directions(circuit.is_sequence_reversed);
  std::array<Phasor, 3> across_v = neutral.across_v;
  seen.met_v = state.star_point_v + state.displacement_v;
  if (!customer.is_beyond_break) {
    seen.met_v = state.star_point_v;
    for (std::size_t k = 0; k < 3; ++k)
      across_v[k] = circuit.source_v * direction[k];
  }
  for (std::size_t k = 0; k < 3; ++k)
    seen.line_to_neutral_v[k] = std::abs(across_v[k]);
  const double met_size_v = std::abs(seen.met_v);
  if (customer.electrode_ohm) {
    seen.electrode_current_a = met_size_v / *customer.electrode_ohm;
    seen.electrode_power_w = met_size_v * seen.electrode_current_a;
  }
  for (const double path_ohm : customer.bonded_metalwork_ohm)
    seen.metalwork_current_a.push_back(met_size_v / path_ohm);
  if (circuit.fault && circuit.fault->customer == index) {
    const auto phase = static_cast<std::size_t>(circuit.fault->phase - 1);
    const Phasor driving_v = circuit.fault->to == LineFault::To::met
                                 ? across_v[phase]
                                 : state.star_point_v + circuit.source_v * direction[phase];
    seen.faulted_circuit_rcd_a = std::abs(driving_v) / circuit.fault->resistance_ohm;
    seen.origin_rcd_a = seen.faulted_circuit_rcd_a;
  }
  return seen;
}

/// The neutral on the branch of the healthy state, or why there is none; and the other branches.
std::optional<Neutral> neutral_of(const OpenPenCircuit& floating, const Holding& to_earth, double break_s,
                                  CircuitState& state) {
  const Holding holding{to_earth.conductance_s + break_s, to_earth.drawn_a};
  if (std::isinf(break_s)) {
    Neutral whole;
    const auto direction = detail::phase_directions(floating.is_sequence_reversed);
    for (std::size_t k = 0; k < 3; ++k)
      whole.across_v[k] = floating.source_v * direction[k];
    return whole;
  }
  const std::vector<DefiniteLoad> loads = detail::drawing_loads(floating);
  if (loads.empty() && holding.conductance_s == 0.0) {
    state.status = OpenPenStatus::not_covered;
    state.why = "neither a load nor a path to earth holds the MET: its voltage is not defined";
    return std::nullopt;
  }
  if (detail::is_linear(loads)) {
    const auto neutral = detail::linear_neutral(floating, holding);
    if (!neutral) {
      state.status = OpenPenStatus::no_operating_point;
      state.why = "generation balances or outweighs the loads and the paths to earth: constant impedances "
                  "give no state that is reached from the healthy one";
    }
    return neutral;
  }
  const Locus locus(floating, holding.drawn_a);
  const double held_ohm = 1.0 / holding.conductance_s;
  const auto [point, end] = locus.follow_to(held_ohm);
  state.other_displacement_v = locus.all_at(held_ohm);
  if (end != Locus::End::reached) {
    state.status = OpenPenStatus::no_operating_point;
    state.why = detail::end_sentence(floating, point, end);
    const double end_break_s = 1.0 / point.resistance_ohm - to_earth.conductance_s;
    if (end_break_s > 0.0) state.branch_end_ohm = 1.0 / end_break_s;
    return std::nullopt;
  }
  auto& others = state.other_displacement_v;
  const auto is_this = [&](Phasor v) {
    return std::abs(v - point.displacement_v) < 1e-6 * floating.source_v;
  };
  others.erase(std::remove_if(others.begin(), others.end(), is_this), others.end());
  Neutral neutral{point.displacement_v, {}};
  const auto direction = detail::phase_directions(floating.is_sequence_reversed);
  for (std::size_t k = 0; k < 3; ++k)
    neutral.across_v[k] = floating.source_v * direction[k] - point.displacement_v;
  return neutral;
}

}  // namespace

std::string_view break_place_name(BreakPlace place) {
  switch (place) {
  case BreakPlace::own_service:
    return "own service";
  case BreakPlace::shared_service:
    return "service shared by a loop";
  case BreakPlace::main_with_customers:
    return "main with other customers";
  }
  throw InternalError("break_place_name: a place without a name");
}

CircuitState circuit_state(const SupplyCircuit& circuit) {
  require_valid(circuit);
  const OpenPenCircuit floating = floating_side(circuit);
  const Earths earths = earths_of(circuit);
  const Holding to_earth = earths.holding();
  const double break_s = 1.0 / circuit.break_ohm;
  CircuitState state;
  const std::optional<Neutral> neutral = neutral_of(floating, to_earth, break_s, state);
  if (!neutral) return state;
  state.displacement_v = neutral->displacement_v;
  state.star_point_v = earths.star_point_v(state.displacement_v);
  for (std::size_t k = 0; k < circuit.customers.size(); ++k)
    state.customers.push_back(customer_state(circuit, state, *neutral, k));
  if (!std::isinf(break_s)) {
    const Phasor leaving_a = (to_earth.conductance_s + break_s) * state.displacement_v + to_earth.drawn_a;
    state.kirchhoff_residual_ratio = detail::residual_ratio(floating, *neutral, leaving_a);
  }
  return state;
}

IslandState island_state(const Island& island) {
  require_positive("island.source_v", island.source_v, "V");
  if (island.customer.electrode_ohm) require_path("customer.electrode_ohm", *island.customer.electrode_ohm);
  for (const double path_ohm : island.customer.bonded_metalwork_ohm)
    require_path("customer.bonded_metalwork_ohm", path_ohm);
  IslandState state;
  const double earth_s = conductance_s(island.customer);
  if (earth_s > 0.0) state.source_earth_ohm = 1.0 / earth_s;
  if (!island.line_to_true_earth_ohm) return state;
  require_path("island.line_to_true_earth_ohm", *island.line_to_true_earth_ohm);
  if (!state.source_earth_ohm) {
    state.met_v = island.source_v;  // the line is earth, and the MET is a line-to-neutral voltage from it
    return state;
  }
  state.fault_current_a = island.source_v / (*island.line_to_true_earth_ohm + *state.source_earth_ohm);
  state.met_v = state.fault_current_a * *state.source_earth_ohm;
  return state;
}

StreetComparison street_comparison(const StreetQuestion& question) {
  struct Answer {
    std::optional<double> met_v;
    StreetVerdict verdict = StreetVerdict::cannot_be_decided;
    std::string words;
  };
  const auto answer_of = [&question](const SupplyCircuit& circuit) {
    if (question.customer >= circuit.customers.size()) {
      throw DomainError("question.customer", static_cast<double>(question.customer), "",
                        "a customer's place");
    }
    const CircuitState state = circuit_state(circuit);
    Answer answer;
    answer.words = fmt::format("{}: no operating point", break_place_name(circuit.place));
    if (state.status != OpenPenStatus::solved) return answer;
    answer.met_v = std::abs(state.customers[question.customer].met_v);
    answer.verdict = *answer.met_v <= question.limit_v ? StreetVerdict::holds : StreetVerdict::fails;
    answer.words = fmt::format("{}: MET at {:.4g} V, limit {:.4g} V", break_place_name(circuit.place),
                               *answer.met_v, question.limit_v);
    return answer;
  };
  const Answer own = answer_of(question.own_service);
  StreetComparison comparison;
  comparison.own_met_v = own.met_v;
  comparison.sentence = "break in the " + own.words;
  if (!question.own_service_reason.empty()) {
    comparison.verdict = own.verdict;
    comparison.sentence += "; only this break counts: " + question.own_service_reason;
    return comparison;
  }
  if (!question.street) {
    // A failure at home needs no street to be one.
    if (own.verdict == StreetVerdict::fails) comparison.verdict = StreetVerdict::fails;
    comparison.sentence +=
        "; where the PEN may break is not stated and nothing is known of the street, whose "
        "loads and earths would set the voltage of a break upstream";
    return comparison;
  }
  const Answer street = answer_of(*question.street);
  comparison.street_met_v = street.met_v;
  comparison.sentence += "; break in the " + street.words;
  const auto either = [&](StreetVerdict verdict) {
    return own.verdict == verdict || street.verdict == verdict;
  };
  comparison.verdict = either(StreetVerdict::fails)               ? StreetVerdict::fails
                       : either(StreetVerdict::cannot_be_decided) ? StreetVerdict::cannot_be_decided
                                                                  : StreetVerdict::holds;
  return comparison;
}

}  // namespace ohmroot::supply
