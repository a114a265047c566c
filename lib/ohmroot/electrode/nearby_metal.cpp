// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/nearby_metal.hpp>

#include <fmt/format.h>

#include <utility>

namespace ohmroot::electrode {
namespace {

constexpr double estimates_per_resistance = 2.0;
constexpr double estimates_of_several = 4.0;

Duty duty_of(Connection connection) {
  switch (connection) {
  case Connection::floating:
    return {DutyKind::floating};
  case Connection::joined:
    return {DutyKind::potential, 1.0};
  case Connection::earthed:
    return {DutyKind::potential, 0.0};
  }
  throw InternalError("duty_of: a connection without its duty");
}

Estimate within(double value_ohm, double error_ratio, std::string basis) {
  return {value_ohm, value_ohm * (1.0 - error_ratio), value_ohm * (1.0 + error_ratio), std::move(basis)};
}

/// Current fed from above: through the electrode and through all that is joined to it.
double fed_a(const FieldState& state, const std::vector<NearbyMetal>& nearby) {
  double sum_a = state.currents_a[0];
  for (std::size_t i = 0; i < nearby.size(); ++i)
    if (nearby[i].connection == Connection::joined) sum_a += state.currents_a[i + 1];
  return sum_a;
}

std::vector<NearbyEffect> effects_of(const FieldState& state, const std::vector<NearbyMetal>& nearby) {
  std::vector<NearbyEffect> effects;
  const double all_a = fed_a(state, nearby);
  for (std::size_t i = 0; i < nearby.size(); ++i)
    effects.push_back({nearby[i].metal.name, nearby[i].connection,
                       state.potentials_v[i + 1] / state.potentials_v[0], state.currents_a[i + 1] / all_a});
  return effects;
}

std::string percent(double ratio) {
  return format_number(100.0 * ratio, 3) + " %";
}

std::string effect_words(const NearbyEffect& effect) {
  switch (effect.connection) {
  case Connection::floating:
    return fmt::format(
        "{}, connected to nothing, is lifted to {} of the electrode's potential and carries it along",
        effect.name, percent(effect.potential_share_ratio));
  case Connection::joined:
    return fmt::format(
        "{}, joined to it, carries {} of the current: if it is ever parted or replaced by plastic, "
        "the electrode is alone",
        effect.name, percent(effect.current_share_ratio));
  case Connection::earthed:
    return fmt::format("{}, on a sound earth, takes up {} of the current", effect.name,
                       percent(-effect.current_share_ratio));
  }
  throw InternalError("effect_words: a connection without words");
}

std::string finding_of(const NearbyResult& result) {
  std::string text = fmt::format("the electrode has {} alone and {} with the metal near it",
                                 format_quantity(result.alone_ohm.value, Dimension::resistance),
                                 format_quantity(result.together_ohm.value, Dimension::resistance));
  for (const NearbyEffect& effect : result.effects)
    text += "; " + effect_words(effect);
  return text;
}

}  // namespace

std::string_view connection_name(Connection connection) {
  switch (connection) {
  case Connection::floating:
    return "connected to nothing";
  case Connection::joined:
    return "joined to the electrode";
  case Connection::earthed:
    return "on a sound earth";
  }
  throw InternalError("connection_name: a connection without a name");
}

NearbyResult among_nearby_metal(const earth::LayeredSoil& soil, const Electrode& electrode,
                                const std::vector<NearbyMetal>& nearby, const FieldOptions& options) {
  if (nearby.empty()) throw DomainError("nearby", "none", "at least one piece of metal");
  std::vector<Electrode> all{electrode};
  std::vector<Duty> duties{{DutyKind::potential, 1.0}};
  for (const NearbyMetal& one : nearby) {
    all.push_back(one.metal);
    duties.push_back(duty_of(one.connection));
  }
  const FieldSolution alone = solve_field(soil, {electrode}, options);
  FieldSolution field = solve_field(soil, all, options);
  FieldState state = field.state(duties);
  const double together_ohm = 1.0 / fed_a(state, nearby);
  for (double& potential_v : state.potentials_v)
    potential_v *= together_ohm;
  for (double& current_a : state.currents_a)
    current_a *= together_ohm;
  const bool is_coarse = alone.status() == FieldStatus::coarse || field.status() == FieldStatus::coarse;
  NearbyResult result{within(alone.resistance_ohm(0, 0), estimates_per_resistance * alone.estimate_ratio(),
                             "field solution of the electrode alone"),
                      within(together_ohm, estimates_of_several * field.estimate_ratio(),
                             "field solution of the electrode and the metal near it"),
                      state.currents_a[0],
                      effects_of(state, nearby),
                      is_coarse ? FieldStatus::coarse : FieldStatus::converged,
                      std::move(field),
                      std::move(state),
                      {}};
  result.finding = finding_of(result);
  return result;
}

}  // namespace ohmroot::electrode
