// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/value.hpp>

#include <optional>
#include <string_view>

namespace ohmroot::text {

/// Reads a TOML 1.0 document into a tree with the position of every value. Syntax errors, duplicate keys,
/// non-finite numbers, dates and times (not used here: write them as text) and bytes that are not UTF-8 are
/// errors in diagnostics. Text outside comments and strings must be ASCII. Limits: 1 MiB, 16 levels of
/// nesting, 64 dots in a key, 64 characters in a number. Never throws on bad text, never ends the process.
/// Reading stops at the first syntax error; of values that cannot be used, the first 20 are reported.
/// Returns nothing exactly when an error was added.
[[nodiscard]] std::optional<Value> read_toml(std::string_view text, Diagnostics& diagnostics);

}  // namespace ohmroot::text
