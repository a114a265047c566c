// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace ohmroot::earth {

/// A word for soil with the resistivity that published lists give it. A word is not a measurement: one word
/// spans one to three decades and wet or dry, warm or frozen count for as much again.
/// Where lists disagree, the range is the union of theirs and source says what each prints.
struct SoilWord {
  std::string_view word;  ///< lower case: "clay"
  double least_resistivity_ohm_m;
  double greatest_resistivity_ohm_m;
  std::optional<double> typical_resistivity_ohm_m;  ///< only where a list prints an average
  std::string_view source;                          ///< which list prints what
  std::string_view provenance;  ///< how each list was seen: read, from memory, common practice
};

/// All words, in alphabetical order.
[[nodiscard]] std::span<const SoilWord> soil_words();

/// The entry for a word or one of a few plain synonyms ("made ground" is fill); letters of either case,
/// '-' and '_' read as spaces. Null if the word is not known.
[[nodiscard]] const SoilWord* find_soil_word(std::string_view word);

}  // namespace ohmroot::earth
