// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/study/site.hpp>
#include <ohmroot/text/fields.hpp>
#include <ohmroot/text/value.hpp>

#include <functional>
#include <optional>
#include <string>

namespace ohmroot::study {

/// Gives the bytes of a file named in the site file, or nothing if it cannot be read. Names are relative to
/// the site file; the caller knows where that is.
using FileLoader = std::function<std::optional<std::string>(const std::string& name)>;

/// Which parts the question at hand cannot do without.
struct RequiredParts {
  bool soil = true;
  bool loads = true;
  bool candidates = true;
};

/// Reads a site, or the part of one that a single step needs, from a document. People write TOML with units
/// in the values; programs send JSON with SI suffixes in the keys; the keys are the same. All errors of all
/// files are reported in one pass. Returns nothing exactly when an error was added.
[[nodiscard]] std::optional<Site> read_site(const text::Value& document, text::Dialect dialect,
                                            const RequiredParts& required, const FileLoader& load_file,
                                            Diagnostics& diagnostics);

/// Every key of the site file with its unit, range, default and meaning, section by section.
[[nodiscard]] std::string site_file_keys();

/// Words used in site files for the enumerations, in both directions.
[[nodiscard]] std::string_view break_position_word(BreakPosition position);
[[nodiscard]] std::string_view array_word(sounding::Array array);
[[nodiscard]] std::string_view contact_word(sounding::StakeContact contact);
[[nodiscard]] std::string_view shape_word(const electrode::Shape& shape);
[[nodiscard]] std::string_view charge_point_word(supply::ChargePoint charge_point);

}  // namespace ohmroot::study
