// SPDX-License-Identifier: MIT
// Fuzzing of the JSON reader and writer; built and run as told in toml.cc, with json.cc in its place.
#include "fuzz.hpp"

#include <ohmroot/text/json.hpp>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text = fuzz::as_text(data, size);
  ohmroot::Diagnostics diagnostics("fuzz.json");
  const auto document = ohmroot::text::read_json(text, diagnostics);
  fuzz::require(document.has_value() != diagnostics.has_errors());
  fuzz::require_inside(diagnostics, text);
  if (document) {
    const std::string written = ohmroot::text::write_json(*document);
    ohmroot::Diagnostics second("again.json");
    const auto again = ohmroot::text::read_json(written, second);
    fuzz::require(again && ohmroot::text::write_json(*again) == written);
  }
  return 0;
}
