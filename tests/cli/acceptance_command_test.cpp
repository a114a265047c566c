// SPDX-License-Identifier: MIT
// The acceptance command as its user runs it.
#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <string>
#include <support/process.hpp>

namespace {

using ohmroot::test::file_content;
using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;

const std::string program = OHMROOT_PROGRAM;
const std::filesystem::path demo = std::filesystem::path(OHMROOT_SOURCE_DIR) / "cli" / "demo";

ProcessResult acceptance(const std::string& arguments,
                         const std::filesystem::path& folder = demo / "workshop") {
  return run_shell("'" + program + "' acceptance " + arguments, folder);
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

/// The workshop and its test in a folder of their own, the sheet changed. The soil as layers near those of its
/// readings: the program runs often here, and draws of a soil take seconds.
struct SiteCopy {
  ScratchFolder folder;
  explicit SiteCopy(const std::string& from = {}, const std::string& to = {}) {
    const std::string read = "files = [\"readings.csv\"]\narray = \"schlumberger\"\nstake_depth = \"0.1 m\"\n"
                             "reading_error = 0.04\n";
    const std::string stated =
        "layers_basis = \"a test\"\nlayers = [{ resistivity = [\"22 ohm m\", \"28 ohm m\"] }]\n";
    folder.write("site.toml", replaced(file_content(demo / "workshop" / "site.toml"), read, stated));
    const std::string sheet = file_content(demo / "workshop" / "acceptance.csv");
    folder.write("test.csv", from.empty() ? sheet : replaced(sheet, from, to));
  }
};

}  // namespace

TEST_CASE("the demonstration tests: a pass, and an electrode still connected", "[cli]") {
  const ProcessResult pass = acceptance("site.toml acceptance.csv");
  INFO(pass.err << pass.out);
  CHECK(pass.exit_code == 0);
  CHECK_THAT(pass.out, Catch::Contains("INVENTED") && Catch::Contains("Verdict: pass"));
  const ProcessResult joined = acceptance("site.toml acceptance.csv --json", demo / "home");
  CHECK(joined.exit_code == 2);
  CHECK_THAT(joined.out,
             Catch::Contains("still connected") && Catch::Contains("\"verdict\": \"cannot tell\""));
}

TEST_CASE("an unsafe answer, or another month, and nothing is accepted", "[cli]") {
  const SiteCopy unsafe("met proved,yes", "met proved,no");
  const ProcessResult barred = acceptance("site.toml test.csv", unsafe.folder.path());
  CHECK(barred.exit_code == 2);
  CHECK_THAT(barred.out, Catch::Contains("'met proved': no"));
  const SiteCopy april("2026-09-24", "2026-04-24");
  const ProcessResult other = acceptance("site.toml test.csv", april.folder.path());
  CHECK(other.exit_code == 2);
  CHECK_THAT(other.out, Catch::Contains("season factor counts from September"));
  const SiteCopy stated("2026-09-24", "2026-04-24\nseason factor least,1.2\nseason factor greatest,1.8");
  CHECK(acceptance("site.toml test.csv", stated.folder.path()).exit_code == 0);
}

TEST_CASE("bad sheets and names are errors that say what is allowed", "[cli]") {
  const SiteCopy nameless("three rods along the wall", "four rods");
  const ProcessResult unknown = acceptance("site.toml test.csv", nameless.folder.path());
  CHECK(unknown.exit_code == 65);
  CHECK_THAT(unknown.err, Catch::Contains("four rods") && Catch::Contains("three rods along the wall"));
  const SiteCopy dateless("date,2026-09-24\n", "");
  const ProcessResult bad = acceptance("site.toml test.csv --json", dateless.folder.path());
  CHECK(bad.exit_code == 65);
  CHECK_THAT(bad.err, Catch::Contains("no date of the test"));
  CHECK_THAT(bad.out, Catch::Contains("\"errors\""));
  CHECK(acceptance("").exit_code == 64);
  CHECK(acceptance("site.toml missing.csv").exit_code == 66);
}

TEST_CASE("the register grows by one line a test and is never rewritten", "[cli]") {
  const SiteCopy site;
  const auto file = site.folder.path() / "retests.csv";
  CHECK(acceptance("site.toml test.csv --register", site.folder.path()).exit_code == 0);
  const std::string first = file_content(file);
  CHECK(std::count(first.begin(), first.end(), '\n') == 2);
  CHECK(acceptance("site.toml test.csv --register", site.folder.path()).exit_code == 0);
  CHECK(file_content(file) == first);  // the same sheet twice is one test
  for (const char* date : {"2027-09-20", "2028-09-20"}) {
    site.folder.write("test.csv",
                      replaced(file_content(demo / "workshop" / "acceptance.csv"), "2026-09-24", date));
    const ProcessResult later = acceptance("site.toml test.csv --register", site.folder.path());
    CHECK(later.exit_code == 0);
    CHECK_THAT(later.out, Catch::Contains("Register"));
  }
  const std::string third = file_content(file);
  CHECK(acceptance("site.toml test.csv --register --trend-figure trend.svg", site.folder.path()).exit_code ==
        0);
  CHECK_THAT(file_content(site.folder.path() / "trend.svg"), Catch::Contains("<svg"));
  CHECK(acceptance("site.toml test.csv --trend-figure trend.svg", site.folder.path()).exit_code == 64);
  CHECK(third.rfind(first, 0) == 0);
  CHECK(std::count(third.begin(), third.end(), '\n') == 4);
  site.folder.write("retests.csv", third + "2029-09-2");  // cut off
  const ProcessResult broken = acceptance("site.toml test.csv --register", site.folder.path());
  CHECK(broken.exit_code == 65);
  CHECK_THAT(broken.err, Catch::Contains("cut off"));
  CHECK(file_content(file) == third + "2029-09-2");
}

TEST_CASE("what is not the electrode's is not entered", "[cli]") {
  const SiteCopy unsafe("electrode separated,yes", "electrode separated,not known");
  const ProcessResult barred = acceptance("site.toml test.csv --register", unsafe.folder.path());
  CHECK(barred.exit_code == 2);
  CHECK_THAT(barred.err, Catch::Contains("not entered"));
  CHECK_FALSE(std::filesystem::exists(unsafe.folder.path() / "retests.csv"));
}

TEST_CASE("the figure is written where it is asked for", "[cli]") {
  const SiteCopy site;
  CHECK(acceptance("site.toml test.csv --figure curve.svg", site.folder.path()).exit_code == 0);
  CHECK_THAT(file_content(site.folder.path() / "curve.svg"), Catch::Contains("<svg"));
}
