// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/governing_load.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::study {
namespace {

/// The requirement that is a state of the circuit under constant impedance, if it names its corner.
const supply::Requirement* binding_requirement(const Site& site,
                                               const std::vector<supply::Requirement>& requirements) {
  const auto found =
      std::find_if(requirements.begin(), requirements.end(), [&](const supply::Requirement& requirement) {
        return !requirement.is_rules_expression && requirement.at_source_v > 0 &&
               requirement.at_current_a.size() == site.loads.size() &&
               requirement.model.value_or(supply::LoadModel::constant_impedance) ==
                   supply::LoadModel::constant_impedance;
      });
  return found == requirements.end() ? nullptr : &*found;
}

}  // namespace

GoverningLoad governing_load(const Site& site, const std::vector<supply::Requirement>& requirements) {
  const supply::Requirement* binding = binding_requirement(site, requirements);
  GoverningLoad governing;
  supply::OpenPenCircuit& circuit = governing.circuit;
  circuit.source_v = binding != nullptr ? binding->at_source_v : site.supply.highest_v;
  circuit.nominal_v = site.supply.nominal_v;
  circuit.is_sequence_reversed = site.supply.is_sequence_reversed;
  circuit.source_earth_ohm = site.supply.source_earth_ohm;
  for (std::size_t i = 0; i < site.loads.size(); ++i) {
    const supply::Load& load = site.loads[i];
    supply::DefiniteLoad definite;
    definite.phase = load.phase;
    definite.current_a = binding != nullptr ? binding->at_current_a[i] : load.greatest_current_a;
    definite.power_factor_ratio = load.power_factor_ratio;
    definite.is_leading = load.is_leading;
    circuit.loads.push_back(definite);
    governing.description +=
        fmt::format("{}{}{} {}", i == 0 ? "" : ", ", load.name,
                    site.supply.phase_count == 3 ? fmt::format(" (phase {})", load.phase) : "",
                    format_given(definite.current_a, Dimension::current));
  }
  governing.description += fmt::format("; constant impedance; {} at the source",
                                       format_given(circuit.source_v, Dimension::voltage));
  return governing;
}

}  // namespace ohmroot::study
