// SPDX-License-Identifier: MIT
#include "acceptance_register.hpp"
#include "command.hpp"

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/acceptance/other_method.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/handover_pages.hpp>
#include <ohmroot/study/as_built.hpp>
#include <ohmroot/study/assess.hpp>

#include <fmt/format.h>

#include <filesystem>
#include <memory>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

struct HandoverOptions {
  std::string site;
  std::string sheet;
  std::string folder;
  bool overwrites = false;
};

struct Judged {
  acceptance::AcceptanceValue value;
  std::optional<report::HandoverTest> test;
};

template <class Result>
Judged judged(const Result& result, report::HandoverTest test, std::optional<Estimate> resistance_ohm) {
  test.verdict = result.verdict;
  test.why = result.why;
  test.resistance_ohm = std::move(resistance_ohm);
  test.worst_season_ohm = result.worst_season_ohm;
  return {result.acceptance, std::move(test)};
}

/// The test of the sheet; without a sheet what the electrode would have to read in the month that the season counts from.
Judged judge(const HandoverOptions& options, const study::StudyResult& site) {
  if (options.sheet.empty()) {
    acceptance::TestSheet nothing;
    for (int month = 1; month <= 12; ++month) {
      if (acceptance::month_name(month) == site.site.month_of_measurement) nothing.month = month;
    }
    if (nothing.month == 0)
      return {{{}, {}, "the month that the season counts from is not stated"}, std::nullopt};
    if (site.site.season)
      nothing.season = acceptance::Criterion::Season{
          site.site.season->least_ratio, site.site.season->greatest_ratio, site.site.season->basis};
    if (!site.site.soil || site.site.candidates.empty())
      return {{{}, {}, "no electrode is to be built"}, std::nullopt};
    return {acceptance::acceptance_value(study::as_built(site, nothing).criterion), std::nullopt};
  }
  const acceptance::TestSheet sheet = read_test(options.sheet, false);
  const study::AsBuilt built = study::as_built(site, sheet);
  report::HandoverTest test;
  test.date = sheet.date;
  test.electrode = site.site.candidates[built.candidate].name;
  test.registered_tests = registered_tests(options.site, test.electrode);
  if (!test.registered_tests.empty())
    test.trend = acceptance::retest_trend(test.registered_tests, built.criterion.strictest_ohm).sentence;
  if (sheet.other_method) {
    test.method = acceptance::method_name(*sheet.other_method);
    return judged(acceptance::judge_other_test(built.electrode, sheet.other, sheet.stakes.safe_working,
                                               built.criterion),
                  std::move(test), std::nullopt);
  }
  test.method = "fall of potential";
  acceptance::StakeTest stakes = sheet.stakes;
  if (sheet.is_from_first_rod) {
    const electrode::Place& first = built.electrode.metal.conductors.front().from;
    stakes.start = electrode::SurfacePlace{first.x_m, first.y_m};
  }
  const acceptance::TestResult result = acceptance::judge_test(built.electrode, stakes, built.criterion);
  return judged(result, std::move(test), result.resistance_ohm);
}

void run_handover(const HandoverOptions& options, Outcome& outcome) {
  const fs::path folder(options.folder);
  if (!options.overwrites && fs::exists(folder / "client.html"))
    throw CommandError(cannot_create,
                       fmt::format("{}/client.html: is already there; choose another folder, or --overwrite",
                                   options.folder));
  const study::StudyResult site = study::assess(read_site_document(options.site, {}, false));
  const Judged answer = judge(options, site);
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed || !fs::is_directory(folder))
    throw CommandError(cannot_create,
                       fmt::format("{}: cannot be created: {}", options.folder, failed.message()));
  std::string files;
  for (const report::HandoverPage& page : report::handover_pages(site, answer.value, answer.test)) {
    write_file((folder / page.file).string(), page.html);
    files += (files.empty() ? "" : ", ") + page.file;
  }
  outcome.exit_code = !answer.test                                            ? undecided
                      : answer.test->verdict == acceptance::TestVerdict::pass ? met
                      : answer.test->verdict == acceptance::TestVerdict::fail ? not_met
                                                                              : undecided;
  print(fmt::format("Test: {}\n", answer.test ? answer.test->why : "none: nothing is accepted"));
  const auto open = site.site.routes.open_permissions();
  if (!open.empty()) print("The installer's sheet is closed:\n");
  for (const std::string& question : open)
    print(bullet(question));
  print(fmt::format("Written into {}: {}\n", options.folder, files));
}

}  // namespace

void add_handover(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<HandoverOptions>();
  CLI::App* command = app.add_subcommand(
      "handover", "What is handed over: pages for client, distributor, installer, certificate, and a card");
  command->add_option("site", options->site, "site file, or results.json of a study")->required();
  command->add_option("sheet", options->sheet,
                      "test sheet of the electrode as built (CSV); left out: not tested");
  command->add_option("-o,--output", options->folder, "folder for the pages")->required();
  command->add_flag("--overwrite", options->overwrites, "replace pages that are already in the folder");
  command->footer(
      help_footer(
          {"ohmroot handover cli/demo/workshop/site.toml cli/demo/workshop/acceptance.csv -o build/home",
           "ohmroot handover cli/demo/depot/site.toml -o build/home --overwrite"}) +
      "\n      Here 0 is a passed test, 1 a failed one, 2 none, or one that cannot tell.");
  command->callback([options, &outcome] { run_handover(*options, outcome); });
}

}  // namespace ohmroot::cli
