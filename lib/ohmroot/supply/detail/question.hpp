// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::supply::detail {

/// Throws DomainError as documented at requirements().
void require_valid(const RequirementQuestion& question);

/// Whether the load carries current anywhere in its interval.
[[nodiscard]] bool draws(const Load& load);

[[nodiscard]] DefiniteLoad definite(const Load& load, LoadModel model, double current_a);

/// The supply's circuit at one source voltage, without loads and paths to earth.
[[nodiscard]] OpenPenCircuit bare_circuit(const Supply& supply, double source_v);

/// The question under one choice of load models.
struct Setting {
  const RequirementQuestion& question;
  std::string name;
  std::optional<LoadModel> model;
  std::vector<LoadModel> load_model;  // one per load
};
[[nodiscard]] std::vector<Setting> settings_of(const RequirementQuestion& question);

/// Loads that act together, by their place in the question; the others are off.
using Scene = std::vector<std::size_t>;
[[nodiscard]] bool is_on_one_phase(const RequirementQuestion& question, const Scene& scene);
[[nodiscard]] bool is_linear(const Setting& setting, const Scene& scene);
[[nodiscard]] bool is_unity(const RequirementQuestion& question, const Scene& scene);
[[nodiscard]] bool has_generation(const RequirementQuestion& question, const Scene& scene);
[[nodiscard]] bool is_same_direction(const Load& a, const Load& b);

/// The load cases to be tried.
[[nodiscard]] std::vector<Scene> scenes_of(const Setting& setting);

}  // namespace ohmroot::supply::detail
