// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/acceptance_json.hpp>
#include <ohmroot/study/as_built.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <cerrno>
#include <cmath>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <iostream>
#include <limits>
#include <memory>
#include <plots/acceptance_figures.hpp>
#include <unistd.h>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

using acceptance::RegisterEntry;
using acceptance::TestVerdict;

constexpr const char* register_name = "retests.csv";

struct AcceptanceOptions {
  std::string site;
  std::string sheet;
  std::string figure;
  std::string trend_figure;
  bool as_json = false;
  bool enters_register = false;
  bool shows_keys = false;
};

std::string keys_text() {
  std::vector<std::vector<std::string>> rows{{"line", "holds"}};
  for (const acceptance::SheetKey& key : acceptance::test_sheet_keys())
    rows.push_back({std::string(key.key), std::string(key.holds)});
  return "Lines above the table of a test sheet (CSV): line,value\n" + table(rows) +
         "\nThen the table: current stake (m),potential stake (m),R (ohm),angle (deg)\n"
         "(two-point, loop, clamp: R (ohm) alone, one row)\n";
}

acceptance::TestSheet read_sheet(const AcceptanceOptions& options) {
  Diagnostics diagnostics(options.sheet);
  auto sheet = acceptance::read_test_sheet(read_input(options.sheet), diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  if (!sheet) throw InternalError(options.sheet + ": no sheet and no error");
  return *std::move(sheet);
}

std::string ohms(double value_ohm) {
  return std::isinf(value_ohm) ? std::string("no upper end")
                               : format_quantity(value_ohm, Dimension::resistance);
}

std::string interval(const Estimate& estimate) {
  return fmt::format("{} ({} to {})", ohms(estimate.value), ohms(estimate.least), ohms(estimate.greatest));
}

/// What both kinds of test print.
template <class Result>
std::string verdict_text(const Result& result, const std::string& electrode) {
  std::string text = fmt::format("Verdict: {}\n", acceptance::verdict_name(result.verdict));
  text += paragraph(result.why, 2) + "\n";
  std::vector<std::vector<std::string>> rows{{"electrode", electrode}};
  rows.push_back({"predicted for the day", interval(result.prediction_ohm)});
  if (result.worst_season_ohm) rows.push_back({"to earth, worst season", interval(*result.worst_season_ohm)});
  rows.push_back({"acceptance value", result.acceptance.expression});
  text += table(rows);
  if (!result.findings.empty()) text += "\nFound\n";
  for (const acceptance::Finding& finding : result.findings)
    text += bullet(finding.sentence);
  return text;
}

std::string intersection_text(const acceptance::Intersection& crossing) {
  constexpr double meeting_ratio = 0.05;
  const std::string apart = format_number(100.0 * crossing.spread_ratio, 2) + " %";
  if (crossing.spread_ratio > meeting_ratio)
    return "Intersecting curves: they do not meet; at best they are " + apart + " apart.";
  return fmt::format(
      "Intersecting curves: {}, the electrode's centre {} {} the start; the curves agree to {}.",
      ohms(crossing.resistance_ohm), format_quantity(std::abs(crossing.centre_m), Dimension::length),
      crossing.centre_m < 0.0 ? "before" : "behind", apart);
}

std::string curves_text(const acceptance::TestResult& result) {
  std::string text = "\nCurve\n";
  bool has_flat = false;
  for (const acceptance::CurveJudgement& judged : result.curves) {
    text += bullet(judged.rule_sentence);
    if (judged.flat)
      text += bullet(fmt::format(
          "Flat from {} to {}: {} on average.", format_given(judged.flat->from_m, Dimension::length),
          format_given(judged.flat->to_m, Dimension::length), ohms(judged.flat->mean_ohm)));
    has_flat = has_flat || judged.flat;
    if (judged.flat) continue;  // the rules for steep curves read noise into a flat one
    if (judged.slope && judged.slope->resistance_ohm)
      text += bullet(
          fmt::format("Slope method: coefficient {}, potential stake at {} of the distance, {} (table "
                      "derived; two of its printed rows are known, from memory).",
                      format_number(judged.slope->slope_ratio, 3),
                      format_number(*judged.slope->position_ratio, 3), ohms(*judged.slope->resistance_ohm)));
    else if (judged.slope)
      text += bullet(judged.slope->refusal);
  }
  if (result.intersection && !has_flat) text += bullet(intersection_text(*result.intersection));
  return text;
}

/// Adds lines to the end of a file in one write, and has them on disk before it returns.
void append_durably(const std::string& path, const std::string& lines) {
  const int file = ::open(path.c_str(), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0644);
  if (file < 0)
    throw CommandError(cannot_create, fmt::format("{}: cannot be opened: {}", path, std::strerror(errno)));
  const ssize_t written = ::write(file, lines.data(), lines.size());
  const bool is_whole = written == static_cast<ssize_t>(lines.size()) && ::fsync(file) == 0;
  const int why = errno;
  if (::close(file) != 0 || !is_whole)
    throw CommandError(write_failed, fmt::format("{}: writing failed: {}", path, std::strerror(why)));
}

void draw(const std::string& path, const std::optional<plots::FigureScript>& figure,
          const std::string& why_there_may_be_none) {
  if (!figure) {
    std::cerr << "ohmroot: warning: no figure: " << why_there_may_be_none << '\n';
    return;
  }
  const plots::Rendering drawn = plots::render_svg(*figure);
  if (drawn.status == plots::RenderStatus::drawn) return write_file(path, drawn.svg);
  std::cerr << "ohmroot: warning: the figure is missing: " << drawn.why << '\n';
}

struct Tested {
  const study::AsBuilt& built;
  const acceptance::TestSheet& sheet;
  std::string electrode;
  const std::optional<Estimate>& worst_season_ohm;
  TestVerdict verdict;
  bool is_about_electrode;  ///< false: the reading is the network's, or may be
};

/// Enters the test and tells the trend. Refused where the reading is not the electrode's, or has no worst season.
std::optional<acceptance::RetestTrend> enter(const AcceptanceOptions& options, const Tested& tested) {
  const std::string path = (fs::path(options.site).parent_path() / register_name).string();
  if (!tested.worst_season_ohm || !tested.is_about_electrode) {
    std::cerr << "ohmroot: warning: not entered into " << path << ": "
              << (tested.worst_season_ohm ? "what was read is not the electrode alone\n"
                                          : "without resistance and season factor tests do not compare\n");
    return std::nullopt;
  }
  const std::string before = fs::exists(path) ? read_input(path) : std::string();
  Diagnostics diagnostics(path);
  std::vector<RegisterEntry> entries = acceptance::read_register(before, diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  RegisterEntry entry;
  entry.date = tested.sheet.date;
  entry.electrode = tested.electrode;
  entry.method =
      tested.sheet.other_method ? acceptance::method_name(*tested.sheet.other_method) : "fall of potential";
  entry.worst_season_ohm = *tested.worst_season_ohm;
  const double limit_ohm = tested.built.criterion.strictest_ohm;
  if (limit_ohm > 0.0 && std::isfinite(limit_ohm)) entry.strictest_ohm = limit_ohm;
  entry.verdict = tested.verdict;
  const std::string line = acceptance::register_line(entry);
  if (before.find(line) == std::string::npos) {  // the same sheet twice is one test
    append_durably(path, (before.empty() ? acceptance::register_heading() : std::string()) + line);
    entries.push_back(entry);
  }
  std::erase_if(entries, [&](const RegisterEntry& other) { return other.electrode != tested.electrode; });
  const double trend_limit_ohm = limit_ohm > 0.0 ? limit_ohm : std::numeric_limits<double>::min();
  if (!options.trend_figure.empty())
    draw(options.trend_figure, plots::retest_figure(entries, trend_limit_ohm),
         "the register holds one test only");
  return acceptance::retest_trend(entries, trend_limit_ohm);
}

int exit_code_of(TestVerdict verdict) {
  return verdict == TestVerdict::pass ? met : verdict == TestVerdict::fail ? not_met : undecided;
}

bool is_about_electrode(const std::vector<acceptance::Finding>& findings) {
  for (const acceptance::Finding& finding : findings)
    if (finding.weight == acceptance::FindingWeight::bar) return false;
  return true;
}

template <class Result>
void finish(const AcceptanceOptions& options, const Result& result, const std::string& body,
            const study::AsBuilt& built, const acceptance::TestSheet& sheet, const study::StudyResult& site,
            Outcome& outcome) {
  const std::string& electrode = site.site.candidates[built.candidate].name;
  outcome.exit_code = exit_code_of(result.verdict);
  std::optional<acceptance::RetestTrend> trend;
  if (options.enters_register)
    trend = enter(options, {built, sheet, electrode, result.worst_season_ohm, result.verdict,
                            is_about_electrode(result.findings)});
  if (options.as_json) {
    text::Value document = report::acceptance_document(result);
    document.set("invented", site.site.is_invented);
    document.set("electrode", electrode);
    document.set("date", sheet.date);
    text::Array remarks;
    for (const std::string& remark : built.remarks)
      remarks.push_back(remark);
    document.set("remarks", std::move(remarks));
    text::Array cautions;
    for (const std::string& caution : site.cautions)
      cautions.push_back(caution);
    document.set("cautions", std::move(cautions));
    if (trend) document.set("retests", report::retest_document(*trend));
    return print(text::write_json(document));
  }
  std::string text = site.site.is_invented ? "INVENTED demonstration data\n" : "";
  text += verdict_text(result, electrode) + body;
  if (!built.remarks.empty()) text += "\nNot covered\n";
  for (const std::string& remark : built.remarks)
    text += bullet(remark);
  if (trend) text += fmt::format("\nRegister ({} tests)\n", trend->test_count) + bullet(trend->sentence);
  text += "\n" + paragraph(site.cautions.front());
  print(text);
}

void run_acceptance(const AcceptanceOptions& options, Outcome& outcome) {
  if (options.shows_keys) return print(keys_text());
  if (options.site.empty() || options.sheet.empty())
    throw CommandError(
        usage, "acceptance: name a site file and a test sheet; 'ohmroot acceptance --keys' lists what a "
               "sheet may hold");
  if (options.enters_register && options.site == "-")
    throw CommandError(usage, "acceptance: --register needs a site file, beside which the register lies");
  const acceptance::TestSheet sheet = read_sheet(options);
  const study::StudyResult site = study::assess(read_site_document(options.site, {}, options.as_json));
  const study::AsBuilt built = study::as_built(site, sheet);
  if (sheet.other_method) {
    const auto result = acceptance::judge_other_test(built.electrode, sheet.other, sheet.stakes.safe_working,
                                                     built.criterion);
    std::string body = "\nReading\n" + bullet("It measures " + result.reading.measures + ".");
    if (!result.reading.correction.empty()) body += bullet(result.reading.correction);
    return finish(options, result, body, built, sheet, site, outcome);
  }
  acceptance::StakeTest test = sheet.stakes;
  if (sheet.is_from_first_rod) {
    const electrode::Place& first = built.electrode.metal.conductors.front().from;
    test.start = electrode::SurfacePlace{first.x_m, first.y_m};
  }
  const auto result = acceptance::judge_test(built.electrode, test, built.criterion);
  if (!options.figure.empty())
    draw(options.figure, plots::fall_of_potential_figure(result), "the test has no curve with a resistance");
  finish(options, result, curves_text(result), built, sheet, site, outcome);
}

}  // namespace

void add_acceptance(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<AcceptanceOptions>();
  CLI::App* command =
      app.add_subcommand("acceptance", "Judge the test of an electrode as built: pass, fail or cannot tell");
  command->add_option("site", options->site,
                      "site file (TOML, or JSON with SI keys); '-' for standard input");
  command->add_option("sheet", options->sheet, "test sheet (CSV); '-' for standard input");
  command->add_option("--figure", options->figure, "SVG file for the curve with model and correct place");
  CLI::Option* enters = command->add_flag(
      "--register", options->enters_register,
      fmt::format("add the test to {} beside the site file, and tell the trend", register_name));
  command
      ->add_option("--trend-figure", options->trend_figure,
                   "SVG file for the tests in the register over the years")
      ->needs(enters);
  command->add_flag("--keys", options->shows_keys, "list every line of a test sheet, and exit");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot acceptance cli/demo/workshop/site.toml cli/demo/workshop/acceptance.csv",
                   "ohmroot acceptance cli/demo/home/site.toml cli/demo/home/acceptance.csv --json",
                   "ohmroot acceptance --keys"}) +
      "\n      Here 0 is pass, 1 fail, 2 cannot tell.");
  command->callback([options, &outcome] { run_acceptance(*options, outcome); });
}

}  // namespace ohmroot::cli
