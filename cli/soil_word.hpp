// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/soil_words.hpp>

#include <string>
#include <string_view>

namespace ohmroot::cli {

/// The entry for a word as it was typed. Throws CommandError(usage), naming the command, the word that may have been meant
/// and those that are known.
[[nodiscard]] const earth::SoilWord& soil_word(const std::string& typed, std::string_view command);

}  // namespace ohmroot::cli
