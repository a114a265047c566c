// SPDX-License-Identifier: MIT
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/earth/surface_potential.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>

namespace ohmroot::evidence::detail {

namespace {

const earth::SoilWord& soil_word_in(const Given& given) {
  const earth::SoilWord* word = earth::find_soil_word(given.text_or("word", ""));
  if (word == nullptr) {
    throw NotComputable("the word is not known");
  }
  return *word;
}

text::Value typical_in(const Given& given) {
  const earth::SoilWord& word = soil_word_in(given);
  if (!word.typical_resistivity_ohm_m) {
    throw NotComputable("no average is held for that word");
  }
  return *word.typical_resistivity_ohm_m;
}

}  // namespace

std::vector<Quantity> earth_quantities() {
  return {
      {"earth.surface_potential_ohm", "V/A", "layers, distance_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return earth::surface_potential_ohm(soil_in(given), given.number("distance_m"));
       }},
      {"earth.resistivity_transform_ohm_m", "ohm m", "layers, wavenumber_per_m", Comparison::equal,
       [](const Given& given) -> text::Value {
         return earth::resistivity_transform_ohm_m(soil_in(given), given.number("wavenumber_per_m"));
       }},
      {"earth.soil_word_range_ohm_m", "ohm m", "word", Comparison::inside_band,
       [](const Given& given) {
         const earth::SoilWord& word = soil_word_in(given);
         const double ends[] = {word.least_resistivity_ohm_m, word.greatest_resistivity_ohm_m};
         return list_of(ends);
       }},
      {"earth.soil_word_typical_ohm_m", "ohm m", "word", Comparison::equal, typical_in},
  };
}

}  // namespace ohmroot::evidence::detail
