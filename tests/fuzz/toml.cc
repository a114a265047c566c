// SPDX-License-Identifier: MIT
// Fuzzing of the TOML reader; not part of the normal build. From the top of the project, with clang 14:
//   F="-std=c++20 -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -DFMT_HEADER_ONLY -Ilib"
//   clang++-14 $F tests/fuzz/toml.cc lib/ohmroot/core/*.cpp lib/ohmroot/text/*.cpp \
//     lib/ohmroot/text/detail/*.cpp -o /tmp/fuzz_toml
//   mkdir -p /tmp/corpus_toml && /tmp/fuzz_toml -max_len=512 -max_total_time=60 /tmp/corpus_toml
// All of the reader is compiled in, toml++ (header-only) included: a shared library would hide its coverage.
#include "fuzz.hpp"

#include <ohmroot/text/json.hpp>
#include <ohmroot/text/toml.hpp>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text = fuzz::as_text(data, size);
  ohmroot::Diagnostics diagnostics("fuzz.toml");
  const auto document = ohmroot::text::read_toml(text, diagnostics);
  fuzz::require(document.has_value() != diagnostics.has_errors());
  fuzz::require_inside(diagnostics, text);
  if (document) {
    const std::string written = ohmroot::text::write_json(*document);
    ohmroot::Diagnostics second("fuzz.json");
    const auto again = ohmroot::text::read_json(written, second);
    fuzz::require(again && ohmroot::text::write_json(*again) == written);
  }
  return 0;
}
