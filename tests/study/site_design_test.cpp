// SPDX-License-Identifier: MIT
// A design is called feasible only where a test can prove it. The distance of the current stake: for an electrode that
// is small against it, by the 61.8 per cent rule the error falls with the square of extent over distance (common
// practice, no source, asks for five to ten times the extent).
#include <ohmroot/study/site_design.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <fstream>
#include <optional>
#include <sstream>
#include <string>

namespace {

using namespace ohmroot;
using namespace ohmroot::study;

Site garden(const std::string& lead_run) {
  std::ifstream file(OHMROOT_SOURCE_DIR "/cli/demo/garden/site.toml");
  std::stringstream bytes;
  bytes << file.rdbuf();
  std::string toml = bytes.str();
  const std::string key = "\nlead_run = ";
  const std::size_t at = toml.find(key);
  REQUIRE(at != std::string::npos);
  const std::size_t end = toml.find('\n', at + 1);
  toml.replace(at, end - at, lead_run.empty() ? "" : key + '"' + lead_run + '"');
  Diagnostics diagnostics("site.toml");
  const auto document = text::read_toml(toml, diagnostics);
  REQUIRE(document);
  const auto no_file = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
  const auto site = read_site(*document, text::Dialect::typed_by_people,
                              {.soil = true, .loads = true, .candidates = false}, no_file, diagnostics);
  REQUIRE(site);
  return *site;
}

DesignResult designed(const std::string& lead_run) {
  DesignOptions options;
  options.draw_count = 400;
  return design_electrode(garden(lead_run), options);
}

}  // namespace

TEST_CASE("no design is feasible without a test that can prove it", "[study]") {
  const DesignResult far = designed("500 m");
  CHECK(far.verdict == Verdict::feasible);
  REQUIRE(far.testability);
  REQUIRE(far.testability->needed_m);
  CHECK(*far.testability->needed_m > 8.0);  // a group 8 m across
  CHECK(*far.testability->needed_m < 20.0 * 8.0);
  CHECK(far.testability->sentence.find("61.8 %") != std::string::npos);

  const DesignResult near = designed("5 m");
  CHECK(near.verdict == Verdict::undecided);
  CHECK(near.testability->sentence.find("It cannot be tested") != std::string::npos);
  CHECK(near.headline.find("not called feasible") != std::string::npos);

  const DesignResult unknown = designed("");
  CHECK(unknown.verdict == Verdict::undecided);
  CHECK(unknown.testability->sentence.find("is not stated") != std::string::npos);
}
