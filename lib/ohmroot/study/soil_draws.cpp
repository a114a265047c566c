// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/study/detail/drawn_soils.hpp>
#include <ohmroot/study/soil_draws.hpp>

#include <boost/random/uniform_01.hpp>

#include <cmath>
#include <utility>
#include <variant>

namespace ohmroot::study {
namespace detail {

double drawn(std::mt19937_64& engine, double least, double greatest) {
  return least * std::pow(greatest / least, boost::random::uniform_01<double>()(engine));
}

std::vector<earth::LayeredSoil> drawn_soils(std::mt19937_64& engine, const Site& site,
                                            const SoilPicture& picture, std::size_t count) {
  if (!site.soil) throw DomainError("site.soil", "missing", "readings, layers, a rod's reading or a word");
  std::vector<earth::LayeredSoil> soils;
  if (const auto* stated = std::get_if<SoilFromLayers>(&*site.soil)) {
    for (std::size_t i = 0; i < count; ++i) {
      std::vector<earth::Layer> layers;
      for (const StatedLayer& layer : stated->layers)
        layers.push_back({drawn(engine, layer.least_resistivity_ohm_m, layer.greatest_resistivity_ohm_m),
                          layer.thickness_m});
      soils.emplace_back(std::move(layers));
    }
  } else if (std::holds_alternative<SoilFromWord>(*site.soil)) {
    for (std::size_t i = 0; i < count; ++i)
      soils.emplace_back(drawn(engine, picture.least_resistivity_ohm_m, picture.greatest_resistivity_ohm_m));
  } else if (std::holds_alternative<SoilFromReadings>(*site.soil)) {
    soils =
        sounding::sample_posterior(picture.readings, {.sample_count = static_cast<int>(count),
                                                      .seed = site.seed,
                                                      .bounds = picture.bounds,
                                                      .rods = std::get<SoilFromReadings>(*site.soil).rods})
            .soils;
  } else {
    soils = picture.allowed.soils;
  }
  return soils;
}

}  // namespace detail

std::vector<earth::LayeredSoil> soil_draws(const Site& site, const SoilPicture& picture, std::size_t count) {
  std::mt19937_64 engine(site.seed);
  return detail::drawn_soils(engine, site, picture, count);
}

}  // namespace ohmroot::study
