// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/desk.hpp>
#include <ohmroot/text/value.hpp>

#include <string>

namespace ohmroot::report {

/// The desk answer as one screen of text, at most 100 columns wide.
[[nodiscard]] std::string desk_text(const study::DeskFacts& facts, const study::DeskAnswer& answer);

/// The same numbers for programs, suffixed SI keys, with the facts repeated.
[[nodiscard]] text::Value desk_document(const study::DeskFacts& facts, const study::DeskAnswer& answer);

}  // namespace ohmroot::report
