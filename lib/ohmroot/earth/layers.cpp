// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/layers.hpp>

#include <algorithm>
#include <limits>
#include <string>
#include <utility>

namespace ohmroot::earth {
namespace {

std::string name_of(std::size_t layer, const char* member) {
  return "layers[" + std::to_string(layer) + "]." + member;
}

bool less_resistive(const Layer& a, const Layer& b) {
  return a.resistivity_ohm_m < b.resistivity_ohm_m;
}

}  // namespace

LayeredSoil::LayeredSoil(double resistivity_ohm_m)
    : LayeredSoil(std::vector<Layer>{{resistivity_ohm_m, std::numeric_limits<double>::infinity()}}) {}

LayeredSoil::LayeredSoil(std::vector<Layer> layers) : layers_(std::move(layers)) {
  if (layers_.empty()) throw DomainError("layers", "none", "at least one layer");
  layers_.back().thickness_m = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < layers_.size(); ++i) {
    require_positive(name_of(i, "resistivity_ohm_m"), layers_[i].resistivity_ohm_m, "ohm m");
    if (i + 1 < layers_.size()) require_positive(name_of(i, "thickness_m"), layers_[i].thickness_m, "m");
  }
}

double LayeredSoil::least_resistivity_ohm_m() const {
  return std::min_element(layers_.begin(), layers_.end(), less_resistive)->resistivity_ohm_m;
}

double LayeredSoil::greatest_resistivity_ohm_m() const {
  return std::max_element(layers_.begin(), layers_.end(), less_resistive)->resistivity_ohm_m;
}

}  // namespace ohmroot::earth
