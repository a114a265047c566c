// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/study/desk.hpp>
#include <ohmroot/text/fields.hpp>
#include <ohmroot/text/value.hpp>

#include <optional>
#include <string>

namespace ohmroot::study {

/// Reads the five facts from a document (TOML by people, JSON by programs). A key left out is 'unknown'; so
/// is the word "unknown" where the key takes a text. Returns nothing exactly when an error was added.
[[nodiscard]] std::optional<DeskFacts> read_desk_facts(const text::Value& document, text::Dialect dialect,
                                                       Diagnostics& diagnostics);

/// Every key with its unit, range, default and meaning.
[[nodiscard]] std::string desk_fact_keys();

}  // namespace ohmroot::study
