// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/supply/load_log.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <iostream>
#include <memory>
#include <plots/loads_figures.hpp>
#include <unistd.h>

namespace ohmroot::cli {
namespace fs = std::filesystem;
namespace {

constexpr double greatest_skipped_ratio = 0.01;

struct LoadsOptions {
  std::string log;
  int phase_count = 3;
  std::string model = "constant-impedance";
  std::string unit;
  std::string results;
  std::string candidate;
  std::optional<double> electrode_ohm;
  std::optional<double> charge_a;
  std::string charge_phase = "1";
  std::optional<double> managed_to_a;
  bool does_fail_safe = false;
  std::optional<double> power_factor_ratio;
  bool is_leading = false;
  bool is_reversed = false;
  std::optional<double> nominal_v;
  std::optional<double> lowest_v;
  std::optional<double> highest_v;
  std::optional<double> limit_v;
  std::string folder;
  bool as_json = false;
};

/// The upper end of a candidate's resistance in the results of a study, earthing conductor included.
double electrode_from_results(const LoadsOptions& options) {
  Diagnostics diagnostics(options.results);
  const auto document = text::read_json(read_input(options.results), diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  const text::Value* candidates = document ? document->find("candidates") : nullptr;
  if (candidates == nullptr || !candidates->is_array())
    throw CommandError(bad_data,
                       options.results + ": holds no candidates; it must be the results.json of a study");
  for (const text::Value& candidate : candidates->array()) {
    const text::Value* name = candidate.find("name");
    if (!options.candidate.empty() &&
        !(name != nullptr && name->is_text() && name->text() == options.candidate))
      continue;
    const text::Value* to_earth = candidate.find("to_earth");
    const text::Value* greatest = to_earth == nullptr ? nullptr : to_earth->find("greatest_ohm");
    if (greatest == nullptr || !greatest->is_number()) {
      throw CommandError(bad_data, options.results +
                                       ": the upper end of the candidate's resistance is not known; "
                                       "no electrode can be counted on");
    }
    return greatest->number();
  }
  throw CommandError(bad_data,
                     fmt::format("{}: no candidate is named '{}'", options.results, options.candidate));
}

supply::LoadLogQuestion question_of(const LoadsOptions& options) {
  supply::LoadLogQuestion question;
  question.supply.phase_count = options.phase_count;
  question.supply.nominal_v = options.nominal_v.value_or(question.supply.nominal_v);
  question.supply.lowest_v = options.lowest_v.value_or(0.94 * question.supply.nominal_v);
  question.supply.highest_v = options.highest_v.value_or(1.10 * question.supply.nominal_v);
  question.supply.is_sequence_reversed = options.is_reversed;
  question.limit_v = options.limit_v.value_or(question.limit_v);
  if (options.model == "constant-current") question.model = supply::LoadModel::constant_current;
  if (options.model == "constant-power") question.model = supply::LoadModel::constant_power;
  if (options.unit == "A") question.unit = supply::LogUnit::ampere;
  if (options.unit == "mA") question.unit = supply::LogUnit::milliampere;
  if (options.unit == "kW") question.unit = supply::LogUnit::kilowatt;
  question.electrode_ohm = options.electrode_ohm;
  if (!options.results.empty()) question.electrode_ohm = electrode_from_results(options);
  question.power_factor_ratio = options.power_factor_ratio.value_or(1.0);
  question.is_leading = options.is_leading;
  if (options.charge_a) {
    supply::PlannedCharge charge;
    charge.current_a = *options.charge_a;
    charge.phase = options.charge_phase == "all" ? 0 : std::stoi(options.charge_phase);
    charge.managed_to_a = options.managed_to_a;
    charge.does_fail_safe = options.does_fail_safe;
    question.charge = charge;
  }
  return question;
}

/// Rate and time left, on a terminal only; started after a quarter of a second, so that short logs stay quiet.
class Progress {
public:
  explicit Progress(double total_bytes) : total_bytes_(total_bytes), is_shown_(isatty(STDERR_FILENO) == 1) {}
  void add(std::size_t bytes) {
    done_bytes_ += static_cast<double>(bytes);
    if (!is_shown_) return;
    const auto now = std::chrono::steady_clock::now();
    if (now < next_) return;
    next_ = now + std::chrono::milliseconds(250);
    const double spent_s = std::chrono::duration<double>(now - start_).count();
    std::string line =
        fmt::format("\r{:.0f} MB, {:.0f} MB/s", 1e-6 * done_bytes_, 1e-6 * done_bytes_ / spent_s);
    if (total_bytes_ > 0.0) {
      line += fmt::format(", {:.0f} %, {:.0f} s left", 100.0 * done_bytes_ / total_bytes_,
                          spent_s * (total_bytes_ - done_bytes_) / done_bytes_);
    }
    std::cerr << fmt::format("{:<60}", line) << std::flush;
    has_written_ = true;
  }
  ~Progress() {
    if (has_written_) std::cerr << fmt::format("\r{:<60}\r", "") << std::flush;
  }
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

private:
  double total_bytes_;
  double done_bytes_ = 0.0;
  bool is_shown_;
  bool has_written_ = false;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  std::chrono::steady_clock::time_point next_ = start_ + std::chrono::milliseconds(250);
};

struct FileCloser {
  void operator()(std::FILE* file) const {
    if (file != stdin) std::fclose(file);
  }
};

std::optional<supply::LoadLogReport>
read_log(const LoadsOptions& options, const supply::LoadLogQuestion& question, Diagnostics& diagnostics) {
  if (fs::is_directory(options.log)) throw CommandError(no_input, options.log + ": is a folder, not a file");
  const std::unique_ptr<std::FILE, FileCloser> file(
      options.log == "-" ? stdin : std::fopen(options.log.c_str(), "rb"));
  if (!file)
    throw CommandError(no_input, fmt::format("{}: cannot be read: {}", options.log, std::strerror(errno)));
  std::error_code unknown;
  const auto size = options.log == "-" ? 0 : fs::file_size(options.log, unknown);
  Progress progress(unknown ? 0.0 : static_cast<double>(size));
  supply::LoadLog log(question, diagnostics);
  std::vector<char> piece(std::size_t{1} << 20U);
  while (const std::size_t count = std::fread(piece.data(), 1, piece.size(), file.get())) {
    log.feed({piece.data(), count});
    progress.add(count);
  }
  if (std::ferror(file.get()) != 0) throw CommandError(no_input, options.log + ": reading failed");
  return log.finish();
}

text::Value number_or_null(double value) {
  return std::isfinite(value) ? text::Value(value) : text::Value();
}

text::Value record_document(const supply::MetRecord& record) {
  text::Value document;
  text::Value worst;
  worst.set("time", record.worst.time);
  worst.set("line", record.worst.line);
  worst.set("met_v", number_or_null(record.worst.met_v));
  text::Array current;
  for (const double current_a : record.worst.current_a)
    current.push_back(current_a);
  worst.set("current_a", std::move(current));
  worst.set("planned_charge_on", record.worst.is_charging);
  document.set("worst", std::move(worst));
  document.set("over_limit_ratio", record.over_limit_ratio);
  document.set("longest_spell_s", record.longest_spell_s);
  document.set("spell_over_4s_count",
               record.spell_over_4s_count ? text::Value(*record.spell_over_4s_count) : text::Value());
  document.set("spell_over_5s_count",
               record.spell_over_5s_count ? text::Value(*record.spell_over_5s_count) : text::Value());
  document.set("no_operating_point_count", record.no_operating_point_count);
  text::Array duration;
  for (const double v : record.duration_v)
    duration.push_back(number_or_null(v));
  document.set("exceeded_for_each_half_percent_of_time_v", std::move(duration));
  text::Array week;
  for (const auto& day : record.worst_by_weekday_hour_v) {
    text::Array hours;
    for (const double v : day)
      hours.push_back(v < 0.0 ? text::Value() : number_or_null(v));
    week.push_back(std::move(hours));
  }
  document.set("worst_by_weekday_hour_v", std::move(week));
  return document;
}

text::Value report_document(const supply::LoadLogReport& report, const supply::LoadLogQuestion& question) {
  text::Value document;
  document.set("schema_version", 1);
  document.set("limit_v", question.limit_v);
  document.set("load_model", supply::load_model_name(question.model));
  document.set("electrode_ohm",
               question.electrode_ohm ? text::Value(*question.electrode_ohm) : text::Value());
  document.set("columns", report.columns);
  document.set("row_count", report.row_count);
  document.set("skipped_count", report.skipped_count);
  document.set("first_time", report.first_time);
  document.set("last_time", report.last_time);
  document.set("interval_s", report.interval_s);
  document.set("gap_count", report.gap_count);
  document.set("gap_s", report.gap_s);
  document.set("clock_back_count", report.clock_back_count);
  document.set("clock_forward_count", report.clock_forward_count);
  document.set("disorder_count", report.disorder_count);
  document.set("unloaded_count", report.unloaded_count);
  text::Array least;
  text::Array greatest;
  for (std::size_t k = 0; k < 3; ++k) {
    least.push_back(report.least_current_a[k]);
    greatest.push_back(report.greatest_current_a[k]);
  }
  document.set("least_current_a", std::move(least));
  document.set("greatest_current_a", std::move(greatest));
  document.set("without_electrode", record_document(report.without));
  if (report.with) document.set("with_electrode", record_document(*report.with));
  text::Array needed;
  for (const supply::NeededAtQuantile& at : report.needed) {
    text::Value row;
    row.set("time_ratio", at.time_ratio);
    row.set("resistance_ohm", at.resistance_ohm ? text::Value(*at.resistance_ohm) : text::Value());
    row.set("outcome", at.is_none_sufficient ? "none suffices"
                       : at.resistance_ohm   ? "limited"
                                             : "none needed");
    needed.push_back(std::move(row));
  }
  document.set("needed", std::move(needed));
  document.set("balanced_base_a",
               report.balanced_base_a ? text::Value(*report.balanced_base_a) : text::Value());
  document.set("worst_at_low_load", report.is_worst_at_low_load);
  document.set("holds_for", "a break of the PEN in the customer's own service");
  return document;
}

std::string voltage_words(double met_v) {
  return std::isfinite(met_v) ? format_quantity(met_v, Dimension::voltage)
                              : std::string("no operating point");
}

void print_record(const std::string& heading, const supply::MetRecord& record, double limit_v,
                  int phase_count) {
  print("\n" + heading + "\n");
  std::string currents = fmt::format("{:.4g}", record.worst.current_a[0]);
  for (std::size_t k = 1; k < static_cast<std::size_t>(phase_count); ++k)
    currents += fmt::format(", {:.4g}", record.worst.current_a[k]);
  print(paragraph(fmt::format("worst instant {} (line {}): MET at {}, with {} A logged{}", record.worst.time,
                              record.worst.line, voltage_words(record.worst.met_v), currents,
                              record.worst.is_charging ? " and the planned charge point on" : ""),
                  2));
  print(paragraph(fmt::format("above {} for {:.4g} % of the time, longest spell {:.6g} s",
                              format_given(limit_v, Dimension::voltage), 100.0 * record.over_limit_ratio,
                              record.longest_spell_s),
                  2));
  if (record.spell_over_4s_count) {
    print(
        paragraph(fmt::format("{} spells over 4 s, {} over 5 s: times of the disconnecting-device route; the "
                              "electrode route has no time allowance",
                              *record.spell_over_4s_count, *record.spell_over_5s_count),
                  2));
  } else {
    print(paragraph("the interval is too coarse to count spells of 4 s and 5 s", 2));
  }
  if (record.no_operating_point_count > 0) {
    print(paragraph(
        fmt::format("{} rows have no operating point under this load model and count as above the limit",
                    record.no_operating_point_count),
        2));
  }
}

/// The evidenced range of each phase, as the site file takes it.
std::string site_file_lines(const supply::LoadLogReport& report, int phase_count) {
  std::string lines;
  for (int phase = 1; phase <= phase_count; ++phase) {
    const auto k = static_cast<std::size_t>(phase - 1);
    lines += fmt::format(
        "\n  [[loads]]\n  name = \"logged load on phase {0}\"\n  phase = \"{0}\"\n  least = \"{1:.4g} A\"\n"
        "  least_basis = \"load log {2} to {3}, {4} rows\"\n  greatest = \"{5:.4g} A\"\n",
        phase, std::floor(1e3 * report.least_current_a[k]) / 1e3, report.first_time, report.last_time,
        report.row_count, std::ceil(1e3 * report.greatest_current_a[k]) / 1e3);
  }
  return lines;
}

void print_report(const supply::LoadLogReport& report, const supply::LoadLogQuestion& question) {
  print(fmt::format("{} rows from {} to {}, every {:.6g} s, {} left out\n", report.row_count,
                    report.first_time, report.last_time, report.interval_s, report.skipped_count));
  print(paragraph("Read as: " + report.columns, 2));
  print(paragraph(
      fmt::format("{} gaps ({:.6g} s not logged), clock back one hour {} times and ahead {} times, {} other "
                  "steps back or repeated times",
                  report.gap_count, report.gap_s, report.clock_back_count, report.clock_forward_count,
                  report.disorder_count),
      2));
  const int phases = question.supply.phase_count;
  print_record(fmt::format("Without electrode, {}", supply::load_model_name(question.model)), report.without,
               question.limit_v, phases);
  if (report.with) {
    print_record(
        fmt::format("With {} to earth", format_given(*question.electrode_ohm, Dimension::resistance)),
        *report.with, question.limit_v, phases);
  }
  print("\nElectrode that would have held the limit\n");
  std::vector<std::vector<std::string>> rows{{"share of the time", "largest resistance"}};
  for (const supply::NeededAtQuantile& at : report.needed) {
    rows.push_back({fmt::format("{:.4g} %", 100.0 * at.time_ratio),
                    at.is_none_sufficient ? "none suffices"
                    : at.resistance_ohm   ? format_quantity(*at.resistance_ohm, Dimension::resistance)
                                          : "none needed"});
  }
  print(table(rows));
  if (report.balanced_base_a) {
    print(paragraph(
        fmt::format("Balanced load on top, on every phase and at every instant, that would have held it "
                    "without electrode: {:.4g} A",
                    *report.balanced_base_a),
        2));
  }
  print("\n" +
        paragraph(report.is_worst_at_low_load
                      ? "The worst instant is not at the highest load: the total there is below the log's "
                        "median. A balanced base holds the neutral; its lowest value governs."
                      : "The total load at the worst instant is not below the log's median. With a balanced "
                        "base it is mostly the lowest base that governs, not the highest demand."));
  print("\nEvidenced range per phase, for the site file" + site_file_lines(report, phases));
  print(
      "\n" +
      paragraph("Holds for a break in the customer's own service and for the time logged. 'None needed' for "
                "a log is not by itself a permitted route."));
}

void write_figures(const LoadsOptions& options, const supply::LoadLogReport& report,
                   const supply::LoadLogQuestion& question) {
  std::error_code failed;
  fs::create_directories(options.folder, failed);
  if (failed || !fs::is_directory(options.folder))
    throw CommandError(cannot_create,
                       fmt::format("{}: cannot be created: {}", options.folder, failed.message()));
  std::vector<plots::FigureScript> figures{plots::log_time_figure(report, question.limit_v),
                                           plots::log_duration_figure(report, question.limit_v),
                                           plots::log_week_figure(report, question.limit_v)};
  const supply::LogInstant& worst = report.with ? report.with->worst : report.without.worst;
  supply::OpenPenCircuit circuit;
  circuit.source_v = question.supply.highest_v;
  circuit.nominal_v = question.supply.nominal_v;
  circuit.is_sequence_reversed = question.supply.is_sequence_reversed;
  if (question.electrode_ohm) circuit.earth_path_ohm.push_back(*question.electrode_ohm);
  for (int phase = 1; phase <= question.supply.phase_count; ++phase) {
    double current_a = worst.current_a[static_cast<std::size_t>(phase - 1)];
    if (worst.is_charging && (question.charge->phase == 0 || question.charge->phase == phase))
      current_a += question.charge->current_a;
    circuit.loads.push_back(
        {phase, current_a, question.power_factor_ratio, question.is_leading, question.model});
  }
  // The pictures of the circuit are drawn from currents and one power factor. Where the log holds more (kvar,
  // power factors of its own, managed charging), that is not the circuit of the worst instant: no picture then.
  const double worst_v = report.with ? report.with->worst.met_v : report.without.worst.met_v;
  const supply::OpenPenState state = supply::open_pen_state(circuit);
  if (state.status == supply::OpenPenStatus::solved &&
      std::abs(std::abs(state.met_v) - worst_v) <= 1e-3 * worst_v) {
    if (auto star = plots::star_figure(circuit, question.limit_v)) figures.push_back(std::move(*star));
    figures.push_back(plots::model_figure(circuit, question.limit_v));
  } else {
    std::cerr << "ohmroot: warning: figures 'star' and 'models' are left out: the worst instant is more than "
                 "currents "
                 "with one power factor\n";
  }
  for (const plots::FigureScript& figure : figures) {
    const plots::Rendering drawn = plots::render_svg(figure);
    if (drawn.status == plots::RenderStatus::drawn)
      write_file((fs::path(options.folder) / (figure.id + ".svg")).string(), drawn.svg);
    else
      std::cerr << fmt::format("ohmroot: warning: figure '{}' is missing: {}\n", figure.id, drawn.why);
  }
}

int verdict_code(const supply::LoadLogReport& report) {
  const double row_count = static_cast<double>(report.row_count + report.skipped_count);
  if (static_cast<double>(report.skipped_count) > greatest_skipped_ratio * row_count) return undecided;
  const supply::MetRecord& record = report.with ? *report.with : report.without;
  return record.over_limit_ratio > 0.0 ? not_met : met;
}

void run_loads(const LoadsOptions& options, Outcome& outcome) {
  if (options.managed_to_a && !options.does_fail_safe) {
    std::cerr << "ohmroot: warning: load management is not counted: it counts only if it fails safe "
                 "(--management-fails-safe)\n";
  }
  const supply::LoadLogQuestion question = question_of(options);
  Diagnostics diagnostics(options.log);
  const auto report = read_log(options, question, diagnostics);
  report_diagnostics(diagnostics, options.as_json);
  if (!report) throw CommandError(bad_data, options.log + ": no row could be analysed");
  outcome.exit_code = verdict_code(*report);
  if (!options.folder.empty()) {
    write_figures(options, *report, question);
    write_file((fs::path(options.folder) / "loads.json").string(),
               text::write_json(report_document(*report, question)));
  }
  if (options.as_json) return print(text::write_json(report_document(*report, question)));
  print_report(*report, question);
  if (!options.folder.empty())
    print(fmt::format("\nWritten: {0}/loads.json and figures in {0}\n", options.folder));
}

}  // namespace

void add_loads(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<LoadsOptions>();
  CLI::App* command = app.add_subcommand(
      "loads",
      "MET voltage had the PEN broken at each instant of a load log, and the electrode it would have needed");
  command
      ->add_option(
          "log", options->log,
          "CSV of a logger: a time, and per phase a current (A, mA), or kW with kvar, or with a power "
          "factor; '-' for standard input")
      ->required();
  command->add_option("--phases", options->phase_count, "1 or 3; default 3")->check(CLI::IsMember({1, 3}));
  command->add_option("--unit", options->unit, "unit of columns whose header states none")
      ->check(CLI::IsMember({"A", "mA", "kW"}));
  auto* electrode = add_quantity(*command, "--electrode", options->electrode_ohm, Dimension::resistance,
                                 "candidate, from the MET to earth, conductor included");
  command
      ->add_option("--results", options->results, "take it from the results.json of a study: its upper end")
      ->excludes(electrode);
  command->add_option("--candidate", options->candidate, "which candidate of it; default the first");
  command
      ->add_option("--model", options->model, "how the loads follow the voltage; default constant-impedance")
      ->check(CLI::IsMember({"constant-impedance", "constant-current", "constant-power"}));
  add_quantity(*command, "--charge", options->charge_a, Dimension::current,
               "planned charge point, per phase");
  command->add_option("--charge-phase", options->charge_phase, "its phase, or 'all'; default 1")
      ->check(CLI::IsMember({"1", "2", "3", "all"}));
  add_quantity(*command, "--managed-to", options->managed_to_a, Dimension::current,
               "load management keeps each phase within it");
  command->add_flag("--management-fails-safe", options->does_fail_safe,
                    "a fault of it stops the charge; without this it is not counted");
  add_quantity(*command, "--power-factor", options->power_factor_ratio, Dimension::ratio,
               "of columns that come without one; default 1");
  command->add_flag("--leading", options->is_leading, "the current leads");
  command->add_flag("--reversed", options->is_reversed, "the phases follow each other 1-3-2");
  add_quantity(*command, "--nominal", options->nominal_v, Dimension::voltage,
               "line to neutral; default 230 V");
  add_quantity(*command, "--lowest", options->lowest_v, Dimension::voltage,
               "of the source; default 0.94 times nominal");
  add_quantity(*command, "--highest", options->highest_v, Dimension::voltage,
               "of the source; default 1.1 times nominal");
  add_quantity(*command, "--limit", options->limit_v, Dimension::voltage, "MET to true earth; default 70 V");
  command->add_option("-o,--output", options->folder, "folder for the figures and loads.json");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(
      help_footer({"ohmroot loads cli/demo/workshop/loads.csv",
                   "ohmroot loads cli/demo/workshop/loads.csv --electrode \"8 ohm\" --json",
                   "ohmroot loads cli/demo/workshop/loads.csv --charge \"32 A\" --charge-phase 2"}));
  command->callback([options, &outcome] { run_loads(*options, outcome); });
}

}  // namespace ohmroot::cli
