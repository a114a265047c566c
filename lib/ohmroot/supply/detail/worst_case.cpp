// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/box.hpp>
#include <ohmroot/supply/detail/locus.hpp>
#include <ohmroot/supply/detail/worst_case.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

namespace ohmroot::supply::detail {

namespace {

/// Loads that enter the circuit by the sum of their currents only rise and fall together.
bool is_one_with(const Setting& setting, std::size_t j, std::size_t k) {
  const Load& a = setting.question.loads[j];
  const Load& b = setting.question.loads[k];
  const bool is_ceiling_apart = setting.load_model[j] == LoadModel::constant_power &&
                                (std::isfinite(a.current_ceiling_a) || std::isfinite(b.current_ceiling_a));
  return a.phase == b.phase && is_same_direction(a, b) && setting.load_model[j] == setting.load_model[k] &&
         !is_ceiling_apart;
}

/// Where the corner of the intervals is proved to be the worst case:
/// - constant impedance at unity power factor, or on one phase: the conductance needed is a norm of the
///   admittances minus a linear function of them, so it is convex, and it grows with the source voltage;
/// - any models of one power factor on one phase: the voltage left to the load follows from the source
///   voltage alone; the current there grows with every load and is convex in that voltage (with a ceiling and
///   no constant impedance: it falls with it).
bool is_corner_proven(const Setting& setting, const Scene& scene) {
  const RequirementQuestion& question = setting.question;
  if (question.supply.source_earth_ohm > 0.0) return false;
  if (is_linear(setting, scene)) {
    return is_unity(question, scene) ||
           (is_on_one_phase(question, scene) && question.limit_v < question.supply.lowest_v);
  }
  if (!is_on_one_phase(question, scene) || has_generation(question, scene)) return false;
  bool has_ceiling = false;
  bool has_impedance = false;
  for (const std::size_t k : scene) {
    const Load& load = question.loads[k];
    if (!is_same_direction(load, question.loads[scene.front()])) return false;
    has_ceiling = has_ceiling || std::isfinite(load.current_ceiling_a);
    has_impedance = has_impedance || setting.load_model[k] == LoadModel::constant_impedance;
  }
  return question.limit_v <= 0.5 * question.supply.lowest_v && !(has_ceiling && has_impedance);
}

}  // namespace

namespace {

Need need_at(const OpenPenCircuit& circuit, double limit_v, const Binding& binding) {
  const double resistance_ohm =
      binding.is_end ? binding.loop_ohm - circuit.source_earth_ohm : limit_v / binding.current_size_a;
  return {resistance_ohm > 1.0 / unbounded_s ? 1.0 / resistance_ohm : unbounded_s, binding};
}

Need one_branch_need(const OpenPenCircuit& circuit, double limit_v, std::vector<DefiniteLoad> loads) {
  const double source_earth_ohm = circuit.source_earth_ohm;
  const Branch branch(circuit, std::move(loads));
  // The MET bears the displacement less what drops at the source earth.
  const auto [point, is_end] = branch.follow([limit_v, source_earth_ohm](const Branch::Point& at) {
    return at.displacement_v - source_earth_ohm * at.current_size_a - limit_v;
  });
  return need_at(circuit, limit_v, {point.resistance_ohm, point.current_size_a, point.load_v, is_end});
}

Need locus_need(const OpenPenCircuit& circuit, double limit_v) {
  const auto met_v = [&circuit](const Locus::Point& at) {
    return std::abs(at.displacement_v) - circuit.source_earth_ohm * std::abs(at.current_a);
  };
  const auto [point, end] =
      Locus(circuit).follow([&](const Locus::Point& at) { return met_v(at) - limit_v; });
  if (end == Locus::End::open) {
    // Never asked for: below zero, the more so the farther from the limit, so that a search can climb.
    const double size_s = star_of(circuit).size_s;
    return {-size_s * std::max(1e-12, 1.0 - met_v(point) / limit_v), {}};
  }
  return need_at(circuit, limit_v,
                 {point.resistance_ohm, std::abs(point.current_a), {}, end != Locus::End::reached});
}

}  // namespace

Need need_of(const OpenPenCircuit& circuit, double limit_v) {
  std::vector<DefiniteLoad> loads = drawing_loads(circuit);
  if (loads.empty()) return {-unbounded_s, {}};
  if (is_linear(loads))
    return {needed_conductance_s(star_of(circuit), {limit_v, circuit.source_earth_ohm}), {}};
  if (is_one_branch(loads)) return one_branch_need(circuit, limit_v, std::move(loads));
  return locus_need(circuit, limit_v);
}

WorstCase::WorstCase(const Setting& setting, const Scene& scene) : setting_(setting), scene_(scene) {
  for (const std::size_t k : scene_) {
    const Load& load = setting_.question.loads[k];
    if (load.least_current_a == load.greatest_current_a) {
      fixed_.push_back(k);
      continue;
    }
    const auto same = std::find_if(groups_.begin(), groups_.end(), [&](const Scene& group) {
      return is_one_with(setting_, group.front(), k);
    });
    if (same != groups_.end())
      same->push_back(k);
    else
      groups_.push_back({k});
  }
}

std::size_t WorstCase::dimension_count() const {
  const Supply& supply = setting_.question.supply;
  return groups_.size() + (supply.lowest_v < supply.highest_v ? 1 : 0);
}

OpenPenCircuit WorstCase::circuit_at(const std::vector<double>& point) const {
  const RequirementQuestion& question = setting_.question;
  const bool has_range = point.size() > groups_.size();
  const double source_v =
      std::lerp(question.supply.lowest_v, question.supply.highest_v, has_range ? point.back() : 1.0);
  OpenPenCircuit circuit = bare_circuit(question.supply, source_v);
  const auto add = [&](std::size_t k, double share) {
    const Load& load = question.loads[k];
    circuit.loads.push_back(definite(load, setting_.load_model[k],
                                     std::lerp(load.least_current_a, load.greatest_current_a, share)));
  };
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    for (const std::size_t k : groups_[g])
      add(k, point[g]);
  }
  for (const std::size_t k : fixed_)
    add(k, 1.0);
  return circuit;
}

Worst WorstCase::find() const {
  const double limit_v = setting_.question.limit_v;
  const BoxFunction needed = [&](const std::vector<double>& point) {
    return need_of(circuit_at(point), limit_v).conductance_s;
  };
  BoxPoint worst = greatest_at_corners(needed, dimension_count());
  const bool is_proven = dimension_count() == 0 || is_corner_proven(setting_, scene_);
  if (!is_proven) worst = greatest_inside(needed, worst);
  OpenPenCircuit circuit = circuit_at(worst.at);
  const Need need = need_of(circuit, limit_v);
  return {std::move(circuit), need, is_proven};
}

std::vector<double> WorstCase::currents_a(const OpenPenCircuit& circuit) const {
  std::vector<double> current_a(setting_.question.loads.size(), 0.0);
  std::size_t next = 0;  // as circuit_at() puts them in
  for (const Scene& group : groups_) {
    for (const std::size_t k : group)
      current_a[k] = circuit.loads[next++].current_a;
  }
  for (const std::size_t k : fixed_)
    current_a[k] = circuit.loads[next++].current_a;
  return current_a;
}

}  // namespace ohmroot::supply::detail
