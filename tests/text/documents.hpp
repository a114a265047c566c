// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/toml.hpp>
#include <ohmroot/text/value.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

namespace text_tests {

/// The only error of a reading, as the user sees it.
inline std::string only_error(const ohmroot::Diagnostics& diagnostics) {
  REQUIRE(diagnostics.all().size() == 1);
  return ohmroot::to_text(diagnostics.all().front());
}

/// The only error that reading a TOML text gives; the file is called site.toml.
inline std::string toml_error(std::string_view text) {
  ohmroot::Diagnostics diagnostics("site.toml");
  const auto document = ohmroot::text::read_toml(text, diagnostics);
  REQUIRE_FALSE(document.has_value());
  return only_error(diagnostics);
}

inline ohmroot::text::Value toml(std::string_view text) {
  ohmroot::Diagnostics diagnostics("site.toml");
  auto document = ohmroot::text::read_toml(text, diagnostics);
  for (const auto& found : diagnostics.all())
    UNSCOPED_INFO(ohmroot::to_text(found));
  REQUIRE(document.has_value());
  return *document;
}

inline bool is_at(ohmroot::Position found, int line, int column) {
  UNSCOPED_INFO("found at " << found.line << ":" << found.column);
  return found.line == line && found.column == column;
}

/// Whether every finding lies inside the text it was made for.
inline bool all_lie_inside(const ohmroot::Diagnostics& diagnostics, std::string_view text) {
  const auto lines =
      1 + std::count(text.begin(), text.end(), '\n') + std::count(text.begin(), text.end(), '\r');
  return std::all_of(diagnostics.all().begin(), diagnostics.all().end(), [&](const auto& found) {
    return found.at.line >= 0 && found.at.line <= lines && found.at.column >= 0 &&
           static_cast<std::size_t>(found.at.column) <= text.size() + 1;
  });
}

}  // namespace text_tests
