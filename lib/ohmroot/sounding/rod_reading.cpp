// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/earth/surface_potential.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/electrode/quick_rod.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace ohmroot::sounding {
namespace {

constexpr double allowed_sigma = 3.0;
constexpr double sudden_drop_ratio = 1.0 / 3.0;

electrode::Rod rod_of(const DrivenRodReading& reading) {
  require_positive("reading.driven_length_m", reading.driven_length_m, "m");
  require_positive("reading.diameter_m", reading.diameter_m, "m");
  const electrode::Rod rod{reading.driven_length_m, reading.diameter_m};
  electrode::require_valid(electrode::Shape(rod));
  return rod;
}

void require_stakes_in_order(const DrivenRodReading& reading) {
  const double potential_m = *reading.potential_stake_distance_m;
  const double current_m = *reading.current_stake_distance_m;
  require_positive("reading.potential_stake_distance_m", potential_m, "m");
  require_finite("reading.current_stake_distance_m", current_m, "m");
  if (!(potential_m > reading.diameter_m && potential_m < current_m))
    throw DomainError("reading.potential_stake_distance_m", potential_m, "m",
                      "between the rod and reading.current_stake_distance_m");
}

/// Distances from the rod: potential stake, current stake; none if they are taken as remote.
std::vector<double> stakes_m(const DrivenRodReading& reading) {
  if (!reading.current_stake_distance_m || !reading.potential_stake_distance_m) return {};
  require_stakes_in_order(reading);
  return {*reading.potential_stake_distance_m, *reading.current_stake_distance_m};
}

/// What the finite places of the stakes take from the rod's own resistance: the rod's current lifts the
/// potential stake, and the current stake's lowers rod (as much as the rod lifts its place) and potential
/// stake. lifted_ohm: the places of the stakes, by one ampere into the rod.
double stake_effect_ohm(const earth::LayeredSoil& soil, const std::vector<double>& stakes_m,
                        const std::vector<double>& lifted_ohm) {
  if (stakes_m.empty()) return 0.0;
  return earth::surface_potential_ohm(soil, stakes_m[1] - stakes_m[0]) - lifted_ohm[0] - lifted_ohm[1];
}

std::string name_of(const DrivenRodReading& reading) {
  return fmt::format("rod{} at {}{}", reading.rod.empty() ? "" : " " + reading.rod,
                     format_quantity(reading.driven_length_m, Dimension::length),
                     reading.sheet_line > 0 ? fmt::format(" (line {})", reading.sheet_line) : "");
}

using Section = std::pair<std::size_t, const DrivenRodReading*>;

void add_doubt(const Section& before, const Section& after, std::vector<RodDoubt>& doubts) {
  const double ln_ratio = std::log(after.second->resistance_ohm / before.second->resistance_ohm);
  const double error = std::hypot(after.second->relative_error_ratio, before.second->relative_error_ratio);
  if (ln_ratio > allowed_sigma * error)
    doubts.push_back(
        {after.first,
         fmt::format("{} shows {:.0f} % more than {}: more metal in the same soil never has more resistance; "
                     "check the clip, the joints and the stakes and repeat",
                     name_of(*after.second), 100.0 * std::expm1(ln_ratio), name_of(*before.second)),
         false});
  const bool is_sudden = after.second->driven_length_m < 2.0 * before.second->driven_length_m &&
                         ln_ratio < std::log(sudden_drop_ratio);
  if (is_sudden)
    doubts.push_back(
        {after.first,
         fmt::format("{} shows {} times less than {}: the rod may have struck metal or "
                     "a duct; stop driving until it is known what is there",
                     name_of(*after.second), format_number(std::exp(-ln_ratio), 2), name_of(*before.second)),
         true});
}

}  // namespace

RodModel modelled_rod_resistance(const earth::LayeredSoil& soil, const DrivenRodReading& reading,
                                 const RodModelOptions& options) {
  const electrode::Electrode rod{"rod", electrode::conductors_of(rod_of(reading))};
  electrode::FieldOptions field;
  field.tolerance_ratio = options.tolerance_ratio;
  const electrode::FieldSolution solution = electrode::solve_field(soil, {rod}, field);
  const std::vector<double> stakes = stakes_m(reading);
  std::vector<double> lifted_ohm;
  if (!stakes.empty()) {
    const std::vector<electrode::Duty> one_ampere{{electrode::DutyKind::current, 1.0}};
    const std::vector<electrode::Place> places{{stakes[0], 0.0, 0.0}, {stakes[1], 0.0, 0.0}};
    lifted_ohm = solution.potentials_v(solution.state(one_ampere), places);
  }
  return {solution.resistance_ohm(0, 0) + stake_effect_ohm(soil, stakes, lifted_ohm),
          solution.estimate_ratio(), solution.status() == electrode::FieldStatus::converged};
}

std::vector<double> quick_rod_resistances_ohm(const earth::LayeredSoil& soil,
                                              const std::vector<DrivenRodReading>& readings) {
  if (readings.empty()) return {};
  double greatest_m = 0.0;
  for (const DrivenRodReading& reading : readings)
    greatest_m = std::max(greatest_m, rod_of(reading).length_m);
  const electrode::QuickRods rods(soil, greatest_m);
  std::vector<double> resistances_ohm;
  for (const DrivenRodReading& reading : readings) {
    const std::vector<double> stakes = stakes_m(reading);
    const auto answer = rods.answer(rod_of(reading), stakes);
    resistances_ohm.push_back(answer.resistance_ohm + stake_effect_ohm(soil, stakes, answer.lifted_ohm));
  }
  return resistances_ohm;
}

double uniform_equivalent_ohm_m(const DrivenRodReading& reading) {
  require_positive("reading.resistance_ohm", reading.resistance_ohm, "ohm");
  return reading.resistance_ohm / electrode::default_formula(rod_of(reading)).geometry_factor_per_m;
}

std::vector<RodDoubt> doubtful_rod_readings(const std::vector<DrivenRodReading>& readings) {
  std::map<std::string, std::vector<Section>> rods;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    (void)rod_of(readings[i]);
    if (readings[i].is_lower_bound) continue;
    require_positive("reading.resistance_ohm", readings[i].resistance_ohm, "ohm");
    rods[readings[i].rod].emplace_back(i, &readings[i]);
  }
  std::vector<RodDoubt> doubts;
  for (auto& [name, sections] : rods) {
    std::stable_sort(sections.begin(), sections.end(), [](const Section& a, const Section& b) {
      return a.second->driven_length_m < b.second->driven_length_m;
    });
    for (std::size_t i = 1; i < sections.size(); ++i)
      add_doubt(sections[i - 1], sections[i], doubts);
  }
  std::stable_sort(doubts.begin(), doubts.end(),
                   [](const RodDoubt& a, const RodDoubt& b) { return a.reading_index < b.reading_index; });
  return doubts;
}

}  // namespace ohmroot::sounding
