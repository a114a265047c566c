// SPDX-License-Identifier: MIT
// The program as its user runs it: words, places and exit codes.
#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <regex>
#include <string>
#include <support/process.hpp>
#include <support/sample_site.hpp>
#include <vector>

namespace {

using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::sample_site;
using ohmroot::test::ScratchFolder;

const std::string program = OHMROOT_PROGRAM;
const std::filesystem::path source_folder = OHMROOT_SOURCE_DIR;

ProcessResult ohmroot_run(const std::string& arguments, const std::string& standard_input = {},
                          const std::filesystem::path& folder = source_folder) {
  return run_shell("'" + program + "' " + arguments, folder, standard_input);
}

ohmroot::text::Value json_of(const std::string& text) {
  ohmroot::Diagnostics found("output");
  const auto document = ohmroot::text::read_json(text, found);
  INFO(text);
  REQUIRE(document.has_value());
  return *document;
}

const char* good_sheet = "array,a (m),R (ohm)\nWenner,1,15.9\nWenner,2,7.96\nWenner,4,3.98\nWenner,8,1.99\n";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("every example in the help of a command runs and gives an answer", "[cli]") {
  const auto command =
      GENERATE(values<std::string>({"", "desk", "plan", "record", "study", "readings", "electrode", "pen",
                                    "loads", "drive", "acceptance", "handover", "routes", "compare", "recheck", "validate"}));
  const ProcessResult help = ohmroot_run(command + " --help");
  CHECK(help.exit_code == 0);
  const std::regex example(R"(\n  ohmroot ([^\n]*))");
  int count = 0;
  const ScratchFolder scratch;  // of all the examples of a command: one may go on from another
  for (std::sregex_iterator it(help.out.begin(), help.out.end(), example), end; it != end; ++it) {
    std::string arguments = (*it)[1].str();
    while (arguments.find("build/home") != std::string::npos) {
      const auto at = arguments.find("build/home");
      arguments.replace(at, 10, scratch.path().string());
    }
    INFO(arguments);
    const ProcessResult result = ohmroot_run(arguments);
    INFO(result.err);
    CHECK((result.exit_code >= 0 && result.exit_code <= 2));
    CHECK_FALSE(result.out.empty());
    ++count;
  }
  CHECK(count >= 2);
}

TEST_CASE("a wrong command line is exit 64 with a hint", "[cli]") {
  CHECK(ohmroot_run("").exit_code == 64);
  const ProcessResult mistyped = ohmroot_run("stduy x");
  CHECK(mistyped.exit_code == 64);
  CHECK_THAT(mistyped.err, Catch::Contains("did you mean 'ohmroot study'"));
  CHECK(ohmroot_run("pen").exit_code == 64);
  CHECK_THAT(ohmroot_run("pen --current '32 V'").err, Catch::Contains("where a current is needed"));
  CHECK_THAT(ohmroot_run("pen --current 32").err, Catch::Contains("no unit"));
  CHECK_THAT(ohmroot_run("pen --current '3,2 A'").err, Catch::Contains("comma"));
  CHECK(ohmroot_run("desk", "").exit_code == 64);  // no fact and no terminal
  CHECK(ohmroot_run("study cli/demo/home/site.toml").exit_code == 64);
  CHECK(ohmroot_run("readings").exit_code == 64);
}

TEST_CASE("the demonstration sites give the verdicts they were made for", "[cli]") {
  const ScratchFolder scratch;
  const ProcessResult home =
      ohmroot_run("study cli/demo/home/site.toml -o " + (scratch.path() / "home").string());
  INFO(home.err << home.out);
  CHECK(home.exit_code == 1);
  CHECK_THAT(home.out, Catch::Contains("Verdict: not feasible"));
  const ProcessResult shop =
      ohmroot_run("study cli/demo/workshop/site.toml -o " + (scratch.path() / "shop").string());
  INFO(shop.err << shop.out);
  CHECK(shop.exit_code == 0);
  CHECK_THAT(shop.out, Catch::Contains("Verdict: feasible"));
  for (const char* name :
       {"home/report.html", "home/results.json", "shop/report.html", "shop/results.json"}) {
    CHECK(std::filesystem::file_size(scratch.path() / name) > 2000);
  }
  CHECK_THAT(ohmroot::test::file_content(scratch.path() / "home/report.html"), Catch::Contains("INVENTED"));
}

TEST_CASE("results.json holds its own input: studied again it gives the same numbers", "[cli]") {
  const ScratchFolder scratch;
  const ProcessResult first = ohmroot_run("study cli/demo/workshop/site.toml --json");
  REQUIRE(first.exit_code == 0);
  const auto document = json_of(first.out);
  const ProcessResult again = ohmroot_run("study - --json", first.out);
  INFO(again.err);
  CHECK(again.exit_code == 0);
  const auto second = json_of(again.out);
  for (const char* key : {"verdict", "requirements", "candidates", "floor", "tt"}) {
    INFO(key);
    const auto* before = document.find(key);
    const auto* after = second.find(key);
    REQUIRE(before != nullptr);
    REQUIRE(after != nullptr);
    CHECK(ohmroot::text::write_json(*before) == ohmroot::text::write_json(*after));
  }
}

TEST_CASE("a reading that was skipped is still known when results.json is studied again", "[cli]") {
  const ScratchFolder scratch;
  scratch.write("site.toml", sample_site);
  scratch.write("readings.csv", std::string(good_sheet) + "Wenner,16,>1999\n");
  const ProcessResult first = ohmroot_run("study site.toml --json", {}, scratch.path());
  INFO(first.err);
  CHECK(first.exit_code == 2);
  const ProcessResult again = ohmroot_run("study - --json", first.out);
  INFO(again.err);
  CHECK(again.exit_code == 2);
  CHECK_THAT(again.out, Catch::Contains("1 of 5 rows"));
}

TEST_CASE("the same study gives the same bytes twice", "[cli]") {
  const ProcessResult a = ohmroot_run("study cli/demo/home/site.toml --json");
  const ProcessResult b = ohmroot_run("study cli/demo/home/site.toml --json");
  CHECK(a.out == b.out);
}

TEST_CASE("a report that is there is not overwritten unasked", "[cli]") {
  const ScratchFolder scratch;
  scratch.write("report.html", "precious");
  const std::string command = "study cli/demo/home/site.toml --no-figures -o " + scratch.path().string();
  const ProcessResult refused = ohmroot_run(command);
  CHECK(refused.exit_code == 73);
  CHECK(ohmroot::test::file_content(scratch.path() / "report.html") == "precious");
  CHECK(ohmroot_run(command + " --overwrite").exit_code == 1);
}

TEST_CASE("without gnuplot the numbers still come, with a word on the missing figures", "[cli]") {
  const ScratchFolder scratch;
  const ProcessResult result =
      run_shell("PATH=/nowhere '" + program + "' study cli/demo/home/site.toml -o " + scratch.path().string(),
                source_folder);
  CHECK(result.exit_code == 1);
  CHECK_THAT(result.err, Catch::Contains("gnuplot"));
  CHECK_THAT(ohmroot::test::file_content(scratch.path() / "report.html"), Catch::Contains("gnuplot"));
  CHECK_THAT(ohmroot::test::file_content(scratch.path() / "results.json"), Catch::Contains("figure-missing"));
}

TEST_CASE("each fault of site file and readings has its message and exit code", "[cli]") {
  struct Row {
    const char* fault;
    const char* site_from;
    const char* site_to;
    const char* sheet;
    int exit_code;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {"missing readings file", "readings.csv", "gone.csv", good_sheet, 65, "site.toml:3:"},
      {"wrong unit", "\"40 A\"", "\"40 ohm\"", good_sheet, 65, "site.toml:11:12"},
      {"missing unit", "\"40 A\"", "40", good_sheet, 65, "unit"},
      {"negative spacing", "T-1", "T-1", "array,a (m),R (ohm)\nWenner,-1,15.9\nWenner,2,7.96\n", 65,
       "readings.csv:2:8"},
      {"non-numeric cell", "T-1", "T-1", "array,a (m),R (ohm)\nWenner,1,wet\nWenner,2,7.96\n", 65,
       "readings.csv:2:10"},
      {"NaN cell", "T-1", "T-1", "array,a (m),R (ohm)\nWenner,1,nan\nWenner,2,7.96\n", 65,
       "readings.csv:2:10"},
      {"no reading", "T-1", "T-1", "array,a (m),R (ohm)\n", 65, "readings.csv"},
      {"one reading only", "T-1", "T-1", "array,a (m),R (ohm)\nWenner,1,15.9\n", 2, "one reading"},
      {"zero-thickness layer", "files = [\"readings.csv\"]",
       "layers = [{ resistivity = \"30 ohm m\", thickness = \"0 m\" }, { resistivity = \"90 ohm m\" }]",
       good_sheet, 65, "thickness must be greater than 0"},
      {"zero load", "\"40 A\"", "\"0 A\"", good_sheet, 65, "must be greater than 0"},
      {"unknown key", "greatest", "greatst", good_sheet, 65, "did you mean 'greatest'"},
      {"duplicate key", "name = \"rod\"", "name = \"rod\"\nname = \"rod\"", good_sheet, 65, "site.toml:17"},
      {"NaN", "[1.1, 1.4]", "[nan, 1.4]", good_sheet, 65, "site.toml:7:"},
      {"a value without quotes", "\"40 A\"", "40 A", good_sheet, 65, "quotes"},
  }));
  INFO(row.fault);
  const ScratchFolder scratch;
  scratch.write("site.toml", replaced(sample_site, row.site_from, row.site_to));
  scratch.write("readings.csv", row.sheet);
  const ProcessResult result = ohmroot_run("study site.toml --json", {}, scratch.path());
  INFO(result.err);
  CHECK(result.exit_code == row.exit_code);
  CHECK_THAT(result.err, Catch::Contains(row.says));
}

TEST_CASE("a missing site file is exit 66, an unwritable folder 73", "[cli]") {
  CHECK(ohmroot_run("study gone.toml --json").exit_code == 66);
  CHECK(ohmroot_run("readings gone.csv").exit_code == 66);
  CHECK(ohmroot_run("study cli/demo/home/site.toml -o /proc/nowhere").exit_code == 73);
}

TEST_CASE("a full disk is exit 74, not silence", "[cli]") {
  const ProcessResult result = run_shell("'" + program + "' study --keys > /dev/full", source_folder);
  CHECK(result.exit_code == 74);
}

TEST_CASE("other programs drive each command with one JSON document on standard input", "[cli]") {
  const ProcessResult pen =
      ohmroot_run("pen --input - --json", R"({"loads": [{"name": "house", "greatest_a": 40}]})");
  INFO(pen.err);
  CHECK(pen.exit_code == 0);
  const auto document = json_of(pen.out);
  // 70 x 230 / (40 x (253 - 70)) = 2.1995 ohm: derived closed form, constant impedance at 253 V
  CHECK(document.find("requirements")->array()[0].find("resistance_ohm")->number() ==
        Approx(2.199454).epsilon(1e-6));

  const ProcessResult electrode = ohmroot_run(
      "electrode --input - --json",
      R"({"soil": {"layers": [{"resistivity_ohm_m": 100}]}, "candidates": [{"name": "r", "shape": "rod", "length_m": 2.4, "diameter_m": 0.016}]})");
  INFO(electrode.err);
  CHECK(electrode.exit_code == 0);
  CHECK_THAT(electrode.out, Catch::Contains("candidates"));

  const ProcessResult readings = ohmroot_run(
      "readings --input - --json",
      R"({"soil": {"readings": [{"array": "wenner", "spacing_m": 1, "resistance_ohm": 15.9}, {"array": "wenner", "spacing_m": 2, "resistance_ohm": 7.96}]}})");
  INFO(readings.err);
  CHECK(readings.exit_code == 0);

  const ProcessResult desk =
      ohmroot_run("desk --input - --json", R"({"earthing": "tn-c-s", "demand_a": 32})");
  INFO(desk.err);
  CHECK(desk.exit_code == 2);
  CHECK(json_of(desk.out).find("most_lenient_ohm")->number() == Approx(2.749317).epsilon(1e-6));

  const ProcessResult bad =
      ohmroot_run("pen --input - --json", R"({"loads": [{"name": "house", "greatest": "40 A"}]})");
  CHECK(bad.exit_code == 65);
  CHECK_THAT(bad.err, Catch::Contains("greatest_a"));
  CHECK(json_of(bad.out).find("errors") != nullptr);
}

// 40 A over 216.2 to 253 V: 2.199 ohm for constant impedance, 1.112 ohm for constant power (derived closed forms).
TEST_CASE("pen judges an electrode by every load model, not by the mildest", "[cli]") {
  CHECK(ohmroot_run("pen --current '40 A' --earth '1.1 ohm'").exit_code == 0);
  CHECK(ohmroot_run("pen --current '40 A' --earth '2 ohm'").exit_code == 2);
  CHECK(ohmroot_run("pen --current '40 A' --earth '2.3 ohm'").exit_code == 1);
  CHECK(ohmroot_run("pen --current '40 A' --earth '2 ohm' --model constant-impedance").exit_code == 0);
  CHECK(ohmroot_run("pen --current '40 A' --earth '2 ohm' --model constant-power").exit_code == 2);
}

TEST_CASE("pen shows three phases at the load that governs, not at the greatest", "[cli]") {
  // 65 / 28 / 28 A of constant impedance lift the MET to 253 x 37 / 121 = 77.4 V; 65 / 32 / 32 A to 64.7 V.
  const ProcessResult result = ohmroot_run("pen --current-1 '65 A' --current-2 '32 A' --current-3 '32 A' "
                                           "--least-1 '28 A' --least-2 '28 A' --least-3 "
                                           "'28 A' --model constant-impedance");
  CHECK_THAT(result.out, Catch::Contains("MET to true earth 77.4 V"));
}

TEST_CASE("validate passes with enough published numbers", "[cli]") {
  const ProcessResult result = ohmroot_run("validate --json");
  INFO(result.err);
  REQUIRE(result.exit_code == 0);
  const auto document = json_of(result.out);
  CHECK(document.find("run_count")->number() >= 80);
  CHECK(document.find("published_count")->number() >= 30);
  CHECK(document.find("failed_count")->number() == 0);
  CHECK(ohmroot_run("validate --reference /nowhere").exit_code == 66);
  CHECK(ohmroot_run("validate --room kitchen").exit_code == 64);
}

TEST_CASE("a comma locale changes no number", "[cli]") {
  const ProcessResult plain =
      run_shell("LC_ALL=C '" + program + "' pen --current '32 A' --json", source_folder);
  const ProcessResult comma =
      run_shell("LC_ALL=de_DE.UTF-8 '" + program + "' pen --current '32 A' --json", source_folder);
  CHECK(plain.out == comma.out);
}

TEST_CASE("a record is compared and rechecked by its own input", "[cli]") {
  const ScratchFolder folder;
  folder.write("readings.csv", good_sheet);
  folder.write("site.toml", sample_site);
  const std::string at = folder.path().string();
  ohmroot_run("study site.toml -o one --no-figures", {}, folder.path());
  const ProcessResult again = ohmroot_run("compare one/results.json one/results.json", {}, folder.path());
  CHECK_THAT(again.out, Catch::Contains("as before"));
  CHECK_THAT(again.out, Catch::Contains("both records have the same input"));
  const ProcessResult more =
      ohmroot_run("recheck one/results.json --load-added 16A --json", {}, folder.path());
  INFO(more.err);
  const auto document = json_of(more.out);
  CHECK(document.find("exit_code")->number() == more.exit_code);
  CHECK(document.find("added_current_a")->number() == 16.0);
  folder.write("two.json", ohmroot::text::write_json(*document.find("result")));
  const ProcessResult changed = ohmroot_run("compare one/results.json two.json", {}, folder.path());
  CHECK(changed.exit_code == more.exit_code);
  CHECK_THAT(changed.out, Catch::Contains("load added to the record: - -> new"));

  CHECK(ohmroot_run("compare one/results.json nowhere.json", {}, folder.path()).exit_code == 66);
  CHECK(ohmroot_run("compare site.toml one/results.json", {}, folder.path()).exit_code == 65);
  folder.write("broken.json", "{\"schema_version\": ");
  const ProcessResult broken = ohmroot_run("compare broken.json one/results.json", {}, folder.path());
  CHECK(broken.exit_code == 65);
  CHECK_THAT(broken.err, Catch::Contains("broken.json:1:"));
  CHECK(ohmroot_run("recheck one/results.json", {}, folder.path()).exit_code == 64);
  CHECK(ohmroot_run("recheck one/results.json --load-added 16A --phase 3", {}, folder.path()).exit_code ==
        64);
  CHECK(ohmroot_run("recheck site.toml --load-added 16A", {}, folder.path()).exit_code == 65);
}
