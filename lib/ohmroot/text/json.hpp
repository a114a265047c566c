// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/value.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace ohmroot::text {

/// Reads one JSON document. Duplicate keys, non-finite numbers, invalid UTF-8 and more than 64 levels of
/// nesting are errors. Syntax errors carry line and column; so does every value.
/// Returns nothing exactly when an error was added.
[[nodiscard]] std::optional<Value> read_json(std::string_view text, Diagnostics& diagnostics);

/// Writes a document: two spaces of indent, keys in order, digits that read back to the same
/// double, UTF-8, a final newline. Bytes that are not UTF-8 are replaced by U+FFFD.
[[nodiscard]] std::string write_json(const Value& document);

}  // namespace ohmroot::text
