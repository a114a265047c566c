// SPDX-License-Identifier: MIT
// The search for an electrode as the designer runs it, on the invented garden of the demonstration.
#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <support/process.hpp>

namespace {

using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;
namespace fs = std::filesystem;

const std::string garden = OHMROOT_SOURCE_DIR "/cli/demo/garden/site.toml";

ProcessResult design(const std::string& arguments, const fs::path& folder) {
  return run_shell("'" OHMROOT_PROGRAM "' design " + arguments, folder, {});
}

std::string bytes_of(const fs::path& file) {
  std::ifstream in(file);
  std::stringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

/// Standard error for the garden with a part of its file changed.
ProcessResult with_fault(const std::string& part, const std::string& other) {
  const ScratchFolder scratch;
  std::string toml = bytes_of(garden);
  const std::size_t at = toml.find(part);
  REQUIRE(at != std::string::npos);
  toml.replace(at, part.size(), other);
  std::ofstream(scratch.path() / "site.toml") << toml;
  return design("site.toml", scratch.path());
}

double number(const ohmroot::text::Value& value, const std::string& key) {
  const ohmroot::text::Value* member = value.find(key);
  REQUIRE(member != nullptr);
  REQUIRE(member->is_number());
  return member->number();
}

}  // namespace

TEST_CASE("a design is printed, drawn and written, and not overwritten unasked", "[cli]") {
  const ScratchFolder scratch;
  const ProcessResult result = design("'" + garden + "' -o out", scratch.path());
  INFO(result.err);
  CHECK(result.exit_code == 0);  // feasible, as reference/design/SITES.md works out by hand
  for (const char* words : {"rods of 3.6 m", "trench with bare tape: (", "Test: fall-of-potential test",
                            "What each rod buys", "Least cost if", "Accept the finished electrode",
                            "supplementary electrode: ", "tt: ", "Before anybody digs or tests"})
    CHECK_THAT(result.out, Catch::Contains(words));
  ohmroot::Diagnostics found("design.json");
  const auto document = ohmroot::text::read_json(bytes_of(scratch.path() / "out/design.json"), found);
  REQUIRE(document);
  CHECK(number(*document, "required_ohm") == Approx(70.0 / 32.0).epsilon(1e-6));
  const auto* check = document->find("check");
  REQUIRE(check != nullptr);
  CHECK(number(*check, "lower_limit_ratio") >= 0.95);
  for (const char* figure : {"plan.svg", "front.svg", "distribution.svg"})
    CHECK_THAT(bytes_of(scratch.path() / "out" / figure), Catch::Contains("</svg>"));

  const ProcessResult again = design("'" + garden + "' -o out", scratch.path());
  CHECK(again.exit_code == 73);
  CHECK_THAT(again.err, Catch::Contains("--overwrite"));
  CHECK(again.out.empty());
}

TEST_CASE("bad land, parts and prices are told with their place, and nothing is computed", "[cli]") {
  struct Fault {
    std::string part, other, message;
  };
  const std::string corners = R"([["0 m", "0 m"], ["9 m", "0 m"], ["9 m", "6 m"], ["0 m", "6 m"]])";
  for (const Fault& fault : std::vector<Fault>{
           {corners, R"([["0 m", "0 m"], ["9 m", "6 m"], ["9 m", "0 m"], ["0 m", "6 m"]])",
            "land.corners: the sides of the land cross each other"},
           {R"([["4 m", "0 m"], ["4.4 m", "0 m"], ["4.4 m", "2.5 m"], ["4 m", "2.5 m"]])",
            R"([["-1 m", "-1 m"], ["10 m", "-1 m"], ["10 m", "7 m"], ["-1 m", "7 m"]])",
            "number of grid places free for an electrode must be at least one"},
           {"depth = \"4 m\"", "depth = \"0 m\"", "land.depth must be at least"},
           {"rod_depth = \"3.6 m\"", "rod_depth = \"5 m\"", "more than the depth of [land]"},
           {"driving_per_metre = 9\n", "", "missing key 'driving_per_metre'"},
       }) {
    const ProcessResult result = with_fault(fault.part, fault.other);
    INFO(result.err);
    CHECK(result.exit_code == 65);
    CHECK(result.out.empty());
    CHECK_THAT(result.err, Catch::StartsWith("site.toml:"));
    CHECK_THAT(result.err, Catch::Contains(fault.message));
  }
}
