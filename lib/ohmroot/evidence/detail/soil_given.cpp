// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/soil_given.hpp>

#include <limits>

namespace ohmroot::evidence::detail {

earth::LayeredSoil soil_in(const Given& given) {
  constexpr std::string_view keys[] = {"resistivity_ohm_m", "thickness_m"};
  std::vector<earth::Layer> layers;
  for (const Given& layer : given.tables("layers")) {
    layer.allow(keys);
    layers.push_back({layer.number("resistivity_ohm_m"),
                      layer.number_or("thickness_m", std::numeric_limits<double>::infinity())});
  }
  return earth::LayeredSoil(std::move(layers));
}

}  // namespace ohmroot::evidence::detail
