// SPDX-License-Identifier: MIT
#include "soil_word.hpp"

#include "command.hpp"

#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <vector>

namespace ohmroot::cli {

const earth::SoilWord& soil_word(const std::string& typed, std::string_view command) {
  if (const earth::SoilWord* found = earth::find_soil_word(typed)) return *found;
  std::vector<std::string_view> known;
  std::string listed;
  for (const earth::SoilWord& one : earth::soil_words()) {
    known.push_back(one.word);
    listed += fmt::format("{}{}", listed.empty() ? "" : ", ", one.word);
  }
  const std::string near = nearest_word(typed, known);
  throw CommandError(usage,
                     fmt::format("{}: '{}' is no word for soil; {}known are: {}", command, typed,
                                 near.empty() ? "" : fmt::format("did you mean '{}'? ", near), listed));
}

}  // namespace ohmroot::cli
