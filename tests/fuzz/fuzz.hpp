// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

/// What the fuzzing programs share.
namespace fuzz {

inline std::string_view as_text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

/// A broken promise ends the program, so that the fuzzer keeps the input.
inline void require(bool holds) {
  if (!holds) std::abort();
}

/// Whether a position may lie in the text: the last line and column are bounded by the count of its bytes.
inline bool is_inside(ohmroot::Position at, std::string_view text) {
  const auto line_ends =
      std::count(text.begin(), text.end(), '\n') + std::count(text.begin(), text.end(), '\r');
  return at.line >= 0 && at.line <= line_ends + 1 && at.column >= 0 &&
         static_cast<std::size_t>(at.column) <= text.size() + 1;
}

inline void require_inside(const ohmroot::Diagnostics& diagnostics, std::string_view text) {
  for (const auto& found : diagnostics.all()) {
    require(is_inside(found.at, text));
    require(!found.message.empty() && !found.code.empty());
  }
}

}  // namespace fuzz
