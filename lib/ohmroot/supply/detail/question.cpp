// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/circuit.hpp>
#include <ohmroot/supply/detail/question.hpp>

#include <algorithm>
#include <utility>

namespace ohmroot::supply::detail {

bool draws(const Load& load) {
  return load.least_current_a != 0.0 || load.greatest_current_a != 0.0;
}

DefiniteLoad definite(const Load& load, LoadModel model, double current_a) {
  return {load.phase, current_a, load.power_factor_ratio, load.is_leading, model, load.current_ceiling_a};
}

OpenPenCircuit bare_circuit(const Supply& supply, double source_v) {
  return {source_v, supply.nominal_v, supply.is_sequence_reversed, supply.source_earth_ohm, {}, {}};
}

void require_valid(const RequirementQuestion& question) {
  const Supply& supply = question.supply;
  if (supply.phase_count != 1 && supply.phase_count != 3) {
    throw DomainError("supply.phase_count", supply.phase_count, "", "1 or 3");
  }
  require_valid(bare_circuit(supply, supply.lowest_v));
  require_valid(bare_circuit(supply, supply.highest_v));
  if (supply.lowest_v > supply.highest_v) {
    throw DomainError("supply.lowest_v", supply.lowest_v, "V", "at most highest_v");
  }
  require_positive("limit_v", question.limit_v, "V");
  for (const Load& load : question.loads) {
    require_valid(definite(load, LoadModel::constant_impedance, load.least_current_a));
    require_valid(definite(load, LoadModel::constant_impedance, load.greatest_current_a));
    if (load.least_current_a > load.greatest_current_a) {
      throw DomainError("load.least_current_a", load.least_current_a, "A", "at most greatest_current_a");
    }
    if (load.phase > supply.phase_count) {
      throw DomainError("load.phase", load.phase, "", "1 on a single-phase supply");
    }
  }
  if (std::none_of(question.loads.begin(), question.loads.end(),
                   [](const Load& load) { return load.greatest_current_a > 0.0; })) {
    throw DomainError("loads", "none", "at least one with a current above 0");
  }
}

std::vector<Setting> settings_of(const RequirementQuestion& question) {
  const auto with = [&question](std::optional<LoadModel> model, std::string name) {
    Setting setting{question, std::move(name), model, {}};
    for (const Load& load : question.loads) {
      setting.load_model.push_back(load.stated_model.value_or(model.value_or(LoadModel::constant_impedance)));
    }
    return setting;
  };
  std::vector<LoadModel> stated;
  bool is_all_stated = true;
  for (const Load& load : question.loads) {
    if (!draws(load)) continue;
    if (load.stated_model) stated.push_back(*load.stated_model);
    is_all_stated = is_all_stated && load.stated_model.has_value();
  }
  if (is_all_stated) {
    const bool is_one = std::count(stated.begin(), stated.end(), stated.front()) ==
                        static_cast<std::ptrdiff_t>(stated.size());
    if (is_one) return {with(stated.front(), std::string(load_model_name(stated.front())))};
    return {with(std::nullopt, "stated load models")};
  }
  std::vector<Setting> all;
  for (const LoadModel model :
       {LoadModel::constant_impedance, LoadModel::constant_current, LoadModel::constant_power}) {
    all.push_back(with(model, std::string(load_model_name(model))));
  }
  return all;
}

bool is_on_one_phase(const RequirementQuestion& question, const Scene& scene) {
  return std::all_of(scene.begin(), scene.end(), [&](std::size_t k) {
    return question.loads[k].phase == question.loads[scene.front()].phase;
  });
}

bool is_linear(const Setting& setting, const Scene& scene) {
  return std::all_of(scene.begin(), scene.end(),
                     [&](std::size_t k) { return setting.load_model[k] == LoadModel::constant_impedance; });
}

bool is_unity(const RequirementQuestion& question, const Scene& scene) {
  return std::all_of(scene.begin(), scene.end(),
                     [&](std::size_t k) { return question.loads[k].power_factor_ratio == 1.0; });
}

bool is_same_direction(const Load& a, const Load& b) {
  return a.power_factor_ratio == b.power_factor_ratio &&
         (a.is_leading == b.is_leading || a.power_factor_ratio == 1.0);
}

bool has_generation(const RequirementQuestion& question, const Scene& scene) {
  return std::any_of(scene.begin(), scene.end(),
                     [&](std::size_t k) { return question.loads[k].least_current_a < 0.0; });
}

std::vector<Scene> scenes_of(const Setting& setting) {
  const std::vector<Load>& loads = setting.question.loads;
  Scene all;
  for (std::size_t k = 0; k < loads.size(); ++k) {
    if (draws(loads[k])) all.push_back(k);
  }
  if (is_linear(setting, all) || is_on_one_phase(setting.question, all)) return {all};
  // Without a minimum the other phases may be off, and at unity power factor any current in them draws the
  // neutral back from the largest phase: each phase alone is tried, and the worst of them governs.
  const bool is_free =
      std::all_of(all.begin(), all.end(), [&](std::size_t k) { return loads[k].least_current_a == 0.0; });
  if (!is_free || !is_unity(setting.question, all)) return {all};
  std::vector<Scene> alone;
  for (int phase = 1; phase <= 3; ++phase) {
    Scene scene;
    std::copy_if(all.begin(), all.end(), std::back_inserter(scene),
                 [&](std::size_t k) { return loads[k].phase == phase; });
    if (!scene.empty()) alone.push_back(scene);
  }
  return alone;
}

}  // namespace ohmroot::supply::detail
