// SPDX-License-Identifier: MIT
#include "acceptance_register.hpp"
#include "command.hpp"
#include "record_words.hpp"

#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/acceptance_json.hpp>
#include <ohmroot/study/as_built.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <cmath>
#include <iostream>
#include <memory>
#include <plots/acceptance_figures.hpp>

namespace ohmroot::cli {
namespace {

using acceptance::RegisterEntry;
using acceptance::TestVerdict;

struct AcceptanceOptions {
  std::string site;
  std::string sheet;
  std::string figure;
  std::string trend_figure;
  bool as_json = false;
  bool enters_register = false;
  bool tells_register = false;
  bool shows_keys = false;
  int correct_line = 0;
  int withdraw_line = 0;
};

RegisterOptions register_options(const AcceptanceOptions& options) {
  return {options.site, options.trend_figure, options.correct_line, options.withdraw_line, options.as_json};
}

std::string keys_text() {
  std::vector<std::vector<std::string>> rows{{"line", "holds"}};
  for (const acceptance::SheetKey& key : acceptance::test_sheet_keys())
    rows.push_back({std::string(key.key), std::string(key.holds)});
  return "Lines above the table of a test sheet (CSV): line,value\n" + table(rows) +
         "\nThen the table: current stake (m),potential stake (m),R (ohm),angle (deg)\n"
         "(two-point, loop, clamp: R (ohm) alone, one row)\n";
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
  text += said(result.why, 2) + "\n";
  std::vector<std::vector<std::string>> rows{{"electrode", electrode}};
  rows.push_back({"predicted for the day", interval(result.prediction_ohm)});
  if (result.worst_season_ohm) rows.push_back({"to earth, worst season", interval(*result.worst_season_ohm)});
  rows.push_back({"acceptance value", result.acceptance.expression});
  text += table(rows);
  if (!result.separation.empty())
    text += said("That it is not the network's rests on " + result.separation + ".", 2);
  std::string found;
  for (const acceptance::Finding& finding : result.findings)
    if (result.why.find(finding.sentence) == std::string::npos) found += item(finding.sentence);  // said once
  return found.empty() ? text : text + "\nFound\n" + found;
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
    text += item(judged.rule_sentence);
    if (judged.flat)
      text += item(fmt::format(
          "Flat from {} to {}: {} on average.", format_given(judged.flat->from_m, Dimension::length),
          format_given(judged.flat->to_m, Dimension::length), ohms(judged.flat->mean_ohm)));
    has_flat = has_flat || judged.flat;
    if (judged.flat) continue;  // the rules for steep curves read noise into a flat one
    if (judged.slope && judged.slope->resistance_ohm)
      text += item(
          fmt::format("Slope method: coefficient {}, potential stake at {} of the distance, {} (table "
                      "derived; two of its printed rows are known, from memory).",
                      format_number(judged.slope->slope_ratio, 3),
                      format_number(*judged.slope->position_ratio, 3), ohms(*judged.slope->resistance_ohm)));
    else if (judged.slope)
      text += item(judged.slope->refusal);
  }
  if (result.intersection && !has_flat) text += item(intersection_text(*result.intersection));
  return text;
}

struct Tested {
  const study::AsBuilt& built;
  const acceptance::TestSheet& sheet;
  std::string electrode;
  std::optional<Estimate> measured_ohm;
  const std::optional<Estimate>& worst_season_ohm;
  TestVerdict verdict;
  bool is_about_electrode;  ///< false: the reading is the network's, or may be
};

/// Enters the test and tells the trend. Refused where the reading is not the electrode's, or has no worst season.
std::optional<EnteredTest> enter(const AcceptanceOptions& options, const Tested& tested) {
  if (!tested.worst_season_ohm || !tested.is_about_electrode) {
    std::cerr << "ohmroot: warning: not entered into " << register_name << ": "
              << (tested.worst_season_ohm
                      ? "what was read is not the electrode alone, or safe working is open\n"
                      : "without resistance and season factor tests do not compare\n");
    return std::nullopt;
  }
  RegisterEntry entry;
  entry.date = tested.sheet.date;
  entry.electrode = tested.electrode;
  entry.method =
      tested.sheet.other_method ? acceptance::method_name(*tested.sheet.other_method) : "fall of potential";
  entry.measured_ohm = tested.measured_ohm;
  entry.worst_season_ohm = *tested.worst_season_ohm;
  entry.tester = tested.sheet.tester;
  entry.instrument = tested.sheet.instrument;
  const double limit_ohm = tested.built.criterion.strictest_ohm;
  if (limit_ohm > 0.0 && std::isfinite(limit_ohm)) entry.strictest_ohm = limit_ohm;
  entry.verdict = tested.verdict;
  return enter_test(register_options(options), entry, limit_ohm);
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
void finish(const AcceptanceOptions& options, const Result& result,
            const std::optional<Estimate>& measured_ohm, const std::string& body, const study::AsBuilt& built,
            const acceptance::TestSheet& sheet, const study::StudyResult& site, Outcome& outcome) {
  const std::string& electrode = site.site.candidates[built.candidate].name;
  outcome.exit_code = exit_code_of(result.verdict);
  std::optional<EnteredTest> entered;
  if (options.enters_register)
    entered = enter(options, {built, sheet, electrode, measured_ohm, result.worst_season_ohm, result.verdict,
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
    if (entered) {
      document.set("register_line", entered->line);
      document.set("retests", report::retest_document(entered->trend));
    }
    return print(text::write_json(document));
  }
  std::string text = site.site.is_invented ? "INVENTED demonstration data\n" : "";
  text += verdict_text(result, electrode) + body;
  if (!built.remarks.empty()) text += "\nNot covered\n";
  for (const std::string& remark : built.remarks)
    text += item(remark);
  if (entered) text += entered_text(*entered);
  text += "\n" + said(site.cautions.front());
  print(text);
}

void run_acceptance(const AcceptanceOptions& options, Outcome& outcome) {
  if (options.shows_keys) return print(keys_text());
  if (options.enters_register && (options.tells_register || options.withdraw_line > 0))
    throw CommandError(usage,
                       "acceptance: --add enters a test and tells the trend; --register and --withdraw go "
                       "without it");
  if (options.tells_register || options.withdraw_line > 0) {
    if (options.site.empty() || options.site == "-" || !options.sheet.empty())
      throw CommandError(usage,
                         "acceptance: --register and --withdraw take a site file, beside which the register "
                         "lies, and no test sheet; a test is entered by --add");
    return tell_register(register_options(options), outcome);
  }
  if (!options.trend_figure.empty() && !options.enters_register)
    throw CommandError(usage, "acceptance: --trend-figure goes with --add or --register");
  if (options.site.empty() || options.sheet.empty())
    throw CommandError(
        usage, "acceptance: name a site file and a test sheet; 'ohmroot acceptance --keys' lists what a "
               "sheet may hold");
  if (options.enters_register && options.site == "-")
    throw CommandError(usage, "acceptance: --add needs a site file, beside which the register lies");
  const acceptance::TestSheet sheet = read_test(options.sheet, options.as_json);
  const study::StudyResult site = study::assess(read_site_document(options.site, {}, options.as_json));
  const study::AsBuilt built = study::as_built(site, sheet);
  if (sheet.other_method) {
    const auto result = acceptance::judge_other_test(built.electrode, sheet.other, sheet.stakes.safe_working,
                                                     built.criterion);
    std::string body = "\nReading\n" + item("It measures " + result.reading.measures + ".");
    if (!result.reading.correction.empty()) body += item(result.reading.correction);
    return finish(options, result, result.reading.resistance_ohm, body, built, sheet, site, outcome);
  }
  acceptance::StakeTest test = sheet.stakes;
  if (sheet.is_from_first_rod) {
    const electrode::Place& first = built.electrode.metal.conductors.front().from;
    test.start = electrode::SurfacePlace{first.x_m, first.y_m};
  }
  const auto result = acceptance::judge_test(built.electrode, test, built.criterion);
  if (!options.figure.empty())
    draw_figure(options.figure, plots::fall_of_potential_figure(result),
                "the test has no curve with a resistance");
  finish(options, result, result.resistance_ohm, curves_text(result), built, sheet, site, outcome);
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
      "--add", options->enters_register,
      fmt::format("enter the test into {} beside the site file, and tell the trend", register_name));
  command
      ->add_option("--correct", options->correct_line,
                   "with --add: the line of the register that the test takes the place of")
      ->check(CLI::Range(1, 1000000))
      ->needs(enters);
  command
      ->add_option("--withdraw", options->withdraw_line,
                   "without a sheet: the line of the register that counts no longer")
      ->check(CLI::Range(1, 1000000));
  command->add_flag("--register", options->tells_register,
                    "without a sheet: list the tests in the register and tell the trend");
  command->add_option("--trend-figure", options->trend_figure,
                      "SVG file for the tests in the register over the years");
  command->add_flag("--keys", options->shows_keys, "list every line of a test sheet, and exit");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot acceptance cli/demo/workshop/site.toml cli/demo/workshop/acceptance.csv",
                   "ohmroot acceptance cli/demo/home/site.toml cli/demo/home/acceptance.csv --json",
                   "ohmroot acceptance --keys"}) +
      "\n      Here 0 is pass, 1 fail, 2 cannot tell; with --register 0 no alarm, 1 alarm, 2 cannot tell.");
  command->callback([options, &outcome] { run_acceptance(*options, outcome); });
}

}  // namespace ohmroot::cli
