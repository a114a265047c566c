// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/error.hpp>

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace ohmroot::study::detail {

/// The word of a site file for a value.
template <class Enum>
struct Word {
  Enum value;
  std::string_view word;
};

template <class Enum, std::size_t count>
std::string_view word_of(Enum value, const std::array<Word<Enum>, count>& words) {
  for (const auto& row : words) {
    if (row.value == value) return row.word;
  }
  throw InternalError("an enumeration without its word");
}

template <class Enum, std::size_t count>
std::optional<Enum> value_of(const std::optional<std::string>& word,
                             const std::array<Word<Enum>, count>& words) {
  if (!word) return std::nullopt;
  for (const auto& row : words) {
    if (row.word == *word) return row.value;
  }
  throw InternalError("a choice that the key table allows but no word names: " + *word);
}

}  // namespace ohmroot::study::detail
