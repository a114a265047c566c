// SPDX-License-Identifier: MIT
// The acceptance command as its user runs it.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <sstream>
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
  const auto add = [&](const std::string& more = {}) {
    return acceptance("site.toml test.csv --add " + more, site.folder.path());
  };
  const auto file = site.folder.path() / "retests.csv";
  const ProcessResult first_added = add();
  CHECK(first_added.exit_code == 0);
  CHECK_THAT(first_added.out,
             Catch::Contains("Line 2 of retests.csv is on disk") && Catch::Contains("whether it rises"));
  const std::string first = file_content(file);
  CHECK(std::count(first.begin(), first.end(), '\n') == 2);
  CHECK_THAT(add().out, Catch::Contains("holds this test already"));
  CHECK(file_content(file) == first);  // the same sheet twice is one test
  for (const char* date : {"2024-09-20", "2025-09-20"}) {
    site.folder.write("test.csv",
                      replaced(file_content(demo / "workshop" / "acceptance.csv"), "2026-09-24", date));
    const ProcessResult later = add();
    CHECK(later.exit_code == 0);
    CHECK_THAT(later.out, Catch::Contains("Register"));
  }
  const std::string third = file_content(file);
  CHECK(add("--trend-figure trend.svg").exit_code == 0);
  CHECK_THAT(file_content(site.folder.path() / "trend.svg"), Catch::Contains("<svg"));
  CHECK(third.rfind(first, 0) == 0);
  CHECK(std::count(third.begin(), third.end(), '\n') == 4);
  site.folder.write("retests.csv", third + "test,2026-09-2");  // a crash cut it off
  const ProcessResult torn = add("--json");
  CHECK(torn.exit_code == 0);
  CHECK_THAT(torn.err, Catch::Contains("never accepted"));
  CHECK_THAT(torn.out, Catch::Contains("\"register_line\": 4"));
  CHECK(file_content(file) == third + "test,2026-09-2 (torn: cut off by a crash and never accepted)\n");
}

TEST_CASE("a test in the register is corrected and taken out by lines, and the trend is told without a test",
          "[cli]") {
  const SiteCopy site;
  const auto run = [&](const std::string& arguments) {
    return acceptance("site.toml " + arguments, site.folder.path());
  };
  CHECK(run("--register").exit_code == 66);  // none yet, and none is made
  CHECK(run("--withdraw 2").exit_code == 66);
  CHECK_FALSE(std::filesystem::exists(site.folder.path() / "retests.csv"));
  CHECK(run("test.csv --add").exit_code == 0);
  const std::string first = file_content(site.folder.path() / "retests.csv");
  const std::string sheet = file_content(site.folder.path() / "test.csv");
  site.folder.write("test.csv", replaced(sheet, "direction,90", "direction,90\ntested by,invented tester"));
  const ProcessResult again = run("test.csv --add");
  CHECK_THAT(again.err, Catch::Contains("same day") && Catch::Contains("--withdraw 2"));
  const ProcessResult withdrawn = run("--withdraw 2");
  CHECK(withdrawn.exit_code == 2);  // one test makes no trend
  CHECK_THAT(withdrawn.out, Catch::Contains("line 4 is on disk: line 2 is withdrawn"));
  CHECK(run("--withdraw 2").exit_code == 65);
  CHECK(run("test.csv --add --correct 9").exit_code == 65);
  const ProcessResult corrected = run("test.csv --add --correct 3");
  CHECK_THAT(corrected.out, Catch::Contains("Line 5 of retests.csv is on disk"));
  const ProcessResult told = run("--register");
  CHECK(told.exit_code == 2);
  CHECK_THAT(told.out, Catch::Contains("2026-09-24") && Catch::Contains("three rods along the wall"));
  CHECK_THAT(run("--register --json").out,
             Catch::Contains("\"tester\": \"invented tester\"") && Catch::Contains("\"line\": 5"));
  CHECK(file_content(site.folder.path() / "retests.csv").rfind(first, 0) == 0);  // nothing is overwritten
  CHECK(run("test.csv --register").exit_code == 64);
  CHECK(run("test.csv --add --register").exit_code == 64);
  CHECK(run("test.csv --trend-figure trend.svg").exit_code == 64);
  CHECK(run("test.csv --correct 2").exit_code != 0);
}

TEST_CASE("a test dated after today is refused with its place, the clock being thought of, and marked in a "
          "register",
          "[cli]") {
  const SiteCopy future("2026-09-24", "2999-09-24");
  const ProcessResult refused = acceptance("site.toml test.csv --add", future.folder.path());
  CHECK(refused.exit_code == 65);
  CHECK_THAT(refused.err, Catch::Contains("test.csv:3:6: error: date: 2999-09-24 is after today") &&
                              Catch::Contains("clock is wrong: set it"));
  CHECK_FALSE(std::filesystem::exists(future.folder.path() / "retests.csv"));
  const std::string handover =
      "'" + program + "' handover site.toml test.csv -o pages > /dev/null; test $? -eq 65 && test ! -d pages";
  CHECK(run_shell(handover, future.folder.path()).exit_code == 0);
  const SiteCopy site;
  CHECK(acceptance("site.toml test.csv --add", site.folder.path()).exit_code == 0);
  std::string known = file_content(site.folder.path() / "retests.csv");
  site.folder.write("retests.csv", replaced(known, "2026-09-24", "2999-09-24"));
  const ProcessResult told = acceptance("site.toml --register", site.folder.path());
  CHECK(told.exit_code == 2);
  CHECK_THAT(told.err, Catch::Contains("retests.csv:2:1: warning: date: 2999-09-24 is after today"));
}

TEST_CASE("a rise towards the limit is an alarm with its year", "[cli]") {
  const SiteCopy site;
  for (int year = 2020; year < 2025; ++year) {
    std::string sheet = replaced(file_content(demo / "workshop" / "acceptance.csv"), "2026-09-24",
                                 std::to_string(year) + "-09-24");
    // every reading 22 % higher each year: by the table, whose third cell is R
    std::string raised;
    std::istringstream lines(sheet);
    bool is_table = false;
    for (std::string line; std::getline(lines, line);) {
      if (is_table) {
        const auto from = line.find(',', line.find(',') + 1) + 1;
        const auto to = line.find(',', from);
        const double ohm = std::stod(line.substr(from, to - from)) * std::pow(1.22, year - 2020);
        line.replace(from, to - from, std::to_string(ohm));
      }
      is_table = is_table || line.rfind("current stake (m)", 0) == 0;
      raised += line + "\n";
    }
    site.folder.write("test.csv", raised);
    const ProcessResult added = acceptance("site.toml test.csv --add", site.folder.path());
    INFO(added.out << added.err);
    CHECK(added.exit_code != 65);
  }
  const ProcessResult told = acceptance("site.toml --register --trend-figure trend.svg", site.folder.path());
  INFO(told.out);
  CHECK(told.exit_code == 1);
  CHECK_THAT(told.out, Catch::Contains("Alarm") && Catch::Contains("limit of"));
}

TEST_CASE("a full disk, a read-only folder and a second session: told, and no test is half in", "[cli]") {
  const SiteCopy site;
  CHECK(acceptance("site.toml test.csv --add", site.folder.path()).exit_code == 0);
  const auto file = site.folder.path() / "retests.csv";
  const std::string before = file_content(file);
  site.folder.write("test.csv",
                    replaced(file_content(demo / "workshop" / "acceptance.csv"), "2026-09-24", "2025-09-24"));
  // The shell's limit of file size counts in blocks of 512 bytes (POSIX ulimit -f).
  const std::string add = "'" + program + "' acceptance site.toml test.csv --add";
  const ProcessResult full = run_shell("ulimit -f 1; " + add, site.folder.path());
  CHECK(full.exit_code == 74);
  CHECK_THAT(full.err, Catch::Contains("not kept"));
  CHECK(file_content(file) == before);
  const ProcessResult both =
      run_shell(add + " > one.txt & " + add + " > two.txt; code=$?; wait; exit $code", site.folder.path());
  CHECK(both.exit_code == 0);
  const std::string after = file_content(file);
  CHECK(std::count(after.begin(), after.end(), '\n') == 3);  // the same test from two hands is one
}

TEST_CASE("what is not the electrode's is not entered", "[cli]") {
  const SiteCopy unsafe("electrode separated,yes", "electrode separated,not known");
  const ProcessResult barred = acceptance("site.toml test.csv --add", unsafe.folder.path());
  CHECK(barred.exit_code == 2);
  CHECK_THAT(barred.err, Catch::Contains("not entered"));
  CHECK_FALSE(std::filesystem::exists(unsafe.folder.path() / "retests.csv"));
}

TEST_CASE("the figure is written where it is asked for", "[cli]") {
  const SiteCopy site;
  CHECK(acceptance("site.toml test.csv --figure curve.svg", site.folder.path()).exit_code == 0);
  CHECK_THAT(file_content(site.folder.path() / "curve.svg"), Catch::Contains("<svg"));
}
