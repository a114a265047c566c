// SPDX-License-Identifier: MIT
#include <ohmroot/supply/load_log.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/published.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>

using namespace ohmroot;
using namespace ohmroot::supply;

namespace {

LoadLogQuestion three_phase() {
  LoadLogQuestion question;
  question.supply.phase_count = 3;
  return question;
}

struct Read {
  Diagnostics diagnostics{"log.csv"};
  std::optional<LoadLogReport> report;
  [[nodiscard]] bool says(const std::string& code) const {
    return std::any_of(diagnostics.all().begin(), diagnostics.all().end(),
                       [&](const Diagnostic& d) { return d.code == code; });
  }
};

Read read(const std::string& text, const LoadLogQuestion& question = three_phase(),
          std::size_t piece = 1 << 20) {
  Read result;
  LoadLog log(question, result.diagnostics);
  for (std::size_t at = 0; at < text.size(); at += piece)
    log.feed(std::string_view(text).substr(at, piece));
  result.report = log.finish();
  return result;
}

const std::string header = "time,L1 (A),L2 (A),L3 (A)\n";

/// Invented: a balanced base with one charge on phase 1 in the middle third.
std::string invented_log(int count, int step_s) {
  std::string text = header;
  for (int k = 0; k < count; ++k) {
    const int t = k * step_s;
    const double first_a = 10.0 + (k >= count / 3 && k < 2 * count / 3 ? 32.0 : 0.0);
    char line[96];
    std::snprintf(line, sizeof line, "2026-03-02 %02d:%02d:%02d,%.1f,10.0,10.0\n", t / 3600 % 24, t / 60 % 60,
                  t % 60, first_a);
    text += line;
  }
  return text;
}

}  // namespace

TEST_CASE("a log with a known answer gives it", "[loads]") {
  LoadLogQuestion question = three_phase();
  question.electrode_ohm = 10.0;
  const Read got = read(invented_log(300, 1), question);
  REQUIRE(got.report);
  const LoadLogReport& report = *got.report;
  CHECK(report.row_count == 300);
  CHECK(report.skipped_count == 0);
  CHECK(report.interval_s == 1.0);
  // By hand: 253 V x 32 A / (42 A + 20 A), and with 230 V / 10 ohm = 23 A beside the loads.
  CHECK(report.without.worst.met_v == Approx(253.0 * 32.0 / 62.0));
  CHECK(report.with->worst.met_v == Approx(253.0 * 32.0 / 85.0));
  CHECK(report.without.worst.line == 102);
  CHECK(report.without.worst.time == "2026-03-02 00:01:40");
  CHECK(report.without.over_limit_ratio == Approx(1.0 / 3.0));
  CHECK(report.without.longest_spell_s == 100.0);
  CHECK(*report.without.spell_over_4s_count == 1);
  CHECK(*report.without.spell_over_5s_count == 1);
  CHECK(report.least_current_a[0] == 10.0);
  CHECK(report.greatest_current_a[0] == 42.0);
  CHECK_FALSE(report.needed[0].resistance_ohm);
  // Derived: 70 U0 / (E I_N - 70 sum I).
  CHECK(*report.needed.back().resistance_ohm == Approx(70.0 * 230.0 / (253.0 * 32.0 - 70.0 * 62.0)));
  CHECK(report.without.worst_by_weekday_hour_v[0][0] == Approx(253.0 * 32.0 / 62.0));  // 2 March 2026: Monday
  CHECK(report.without.worst_by_weekday_hour_v[1][0] == -1.0);
}

TEST_CASE("the balanced base that would have been enough is the one of the closed form", "[loads]") {
  // A charge of 32 A on no base at all: 27.886 A on every phase, computed independently.
  const Read got = read(header + "2026-03-02 00:00:00,32,0,0\n2026-03-02 00:00:01,32,0,0\n");
  REQUIRE(got.report);
  CHECK(*got.report->balanced_base_a == Approx(27.8857143).epsilon(1e-8));
  CHECK(*got.report->balanced_base_a == Approx(balanced_base_a({})).epsilon(1e-12));
}

TEST_CASE("every row is judged as the circuit judges it", "[loads][property]") {
  std::mt19937_64 engine(5);
  std::uniform_real_distribution<double> current(-5.0, 60.0);
  for (const LoadModel model :
       {LoadModel::constant_impedance, LoadModel::constant_current, LoadModel::constant_power}) {
    for (int trial = 0; trial < 60; ++trial) {
      LoadLogQuestion question = three_phase();
      question.model = model;
      question.power_factor_ratio = trial % 2 == 0 ? 1.0 : 0.9;
      question.supply.is_sequence_reversed = trial % 3 == 0;
      question.electrode_ohm = 1.5;
      const bool may_export = model == LoadModel::constant_impedance;
      std::array<double, 3> a{};
      for (double& x : a)
        x = std::round(10.0 * std::max(may_export ? -5.0 : 0.1, current(engine))) / 10.0;
      const std::string row = "2026-03-02 00:00:00," + std::to_string(a[0]) + "," + std::to_string(a[1]) +
                              "," + std::to_string(a[2]) + "\n";
      const Read got = read(header + row, question);
      REQUIRE(got.report);
      double worst_v = 0.0;
      for (const double source_v : {216.2, 253.0}) {
        OpenPenCircuit circuit;
        circuit.source_v = source_v;
        circuit.is_sequence_reversed = question.supply.is_sequence_reversed;
        circuit.earth_path_ohm = {1.5};
        for (int k = 0; k < 3; ++k)
          circuit.loads.push_back(
              {k + 1, a[static_cast<std::size_t>(k)], question.power_factor_ratio, false, model});
        const OpenPenState state = open_pen_state(circuit);
        worst_v = std::max(worst_v, state.status == OpenPenStatus::solved
                                        ? std::abs(state.met_v)
                                        : std::numeric_limits<double>::infinity());
      }
      INFO(load_model_name(model) << " " << row);
      if (std::isinf(worst_v))
        CHECK(std::isinf(got.report->with->worst.met_v));
      else
        CHECK(got.report->with->worst.met_v == Approx(worst_v).epsilon(1e-9));
    }
  }
}

TEST_CASE("the pieces a file comes in change nothing", "[loads]") {
  const std::string text = invented_log(900, 1);
  LoadLogQuestion question = three_phase();
  question.electrode_ohm = 5.0;
  const LoadLogReport whole = *read(text, question).report;
  for (const std::size_t piece : {1U, 7U, 64U, 4096U}) {
    const LoadLogReport cut = *read(text, question, piece).report;
    CHECK(cut.row_count == whole.row_count);
    CHECK(cut.without.worst.line == whole.without.worst.line);
    CHECK(cut.without.duration_v == whole.without.duration_v);
    CHECK(cut.with->longest_spell_s == whole.with->longest_spell_s);
    CHECK(cut.stretches.size() == whole.stretches.size());
  }
}

TEST_CASE("the forms in which loggers write a time are read", "[loads]") {
  for (const char* rows :
       {"2026-01-31T23:59:58,1,2,3\n2026-01-31T23:59:59,1,2,3\n",
        "31/01/2026 23:58,1,2,3\n31/01/2026 23:59,1,2,3\n",
        "31.01.2026 23:59:58,1,2,3\r\n31.01.2026 23:59:59,1,2,3\r\n", "1769903998,1,2,3\n1769903999,1,2,3\n",
        "1769903998000,1,2,3\n1769903999000,1,2,3\n",
        "2026-01-31 23:59:58Z,1,2,3\n2026-01-31 23:59:59Z,1,2,3\n",
        "2026-01-31 23:59:58+01:00,1,2,3\n2026-01-31 23:59:59+01:00,1,2,3\n"}) {
    INFO(rows);
    const Read got = read(header + rows);
    REQUIRE(got.report);
    CHECK(got.report->row_count == 2);
    CHECK(got.report->disorder_count == 0);
    CHECK((got.report->interval_s == 1.0 || got.report->interval_s == 60.0));
    CHECK(got.report->without.worst_by_weekday_hour_v[5][23] > 0.0);  // 31 January 2026: Saturday
  }
  for (const char* time :
       {"2026-02-30 00:00:00", "46022.5", "01/31/2026 10:00", "2026-01-31 24:00:00", "noon"}) {
    INFO(time);
    const Read got = read(header + time + ",1,2,3\n2026-03-02 00:00:00,1,2,3\n");
    REQUIRE(got.report);
    CHECK(got.report->skipped_count == 1);
  }
}

TEST_CASE("date and time may stand in columns of their own, in any order", "[loads]") {
  const Read whole = read(invented_log(300, 1));
  for (const bool is_date_first : {true, false}) {
    for (const std::size_t piece : {std::size_t{7}, std::size_t{1} << 20}) {
      std::string text =
          is_date_first ? "Date,Time,L1 (A),L2 (A),L3 (A)\n" : "Time,L1 (A),L2 (A),L3 (A),Date\n";
      const std::string rows = invented_log(300, 1).substr(header.size());
      for (std::size_t at = 0; at < rows.size();) {
        const std::size_t end = rows.find('\n', at);
        const std::string row = rows.substr(at, end - at);
        at = end + 1;
        text += is_date_first ? "02/03/2026," + row.substr(11) + "\n" : row.substr(11) + ",02/03/2026\n";
      }
      const Read apart = read(text, three_phase(), piece);
      CAPTURE(is_date_first, piece);
      REQUIRE(apart.report);
      CHECK(apart.report->skipped_count == 0);
      CHECK(apart.report->interval_s == 1.0);
      CHECK(apart.report->without.worst.line == whole.report->without.worst.line);
      CHECK(apart.report->without.worst.time == "02/03/2026 00:01:40");
      CHECK(apart.report->without.longest_spell_s == whole.report->without.longest_spell_s);
    }
  }
  const Read broken =
      read("date,time,L1 (A),L2 (A),L3 (A)\n2026-03-02,00:00:00,1,1,1\n2026-03-02,25:00:00,1,1,1\n"
           "2026-03-02,00:00:02,1,1,1\n");
  REQUIRE(broken.report);
  CHECK(broken.report->skipped_count == 1);
  REQUIRE(broken.says("log-cell"));
  CHECK(broken.diagnostics.all().front().message.find("'25:00:00' no time of day") != std::string::npos);
  CHECK(read("start time,end time,L1 (A),L2 (A),L3 (A)\n").says("log-columns"));
}

TEST_CASE("gaps have no weight and end a spell; a change of the clock does neither", "[loads]") {
  const auto row = [](const char* time) { return std::string(time) + ",40,0,0\n"; };
  const Read gap = read(header + row("2026-03-02 00:00:00") + row("2026-03-02 00:01:00") +
                        row("2026-03-02 00:02:00") + row("2026-03-02 05:02:00") + row("2026-03-02 05:03:00"));
  CHECK(gap.report->gap_count == 1);
  CHECK(gap.report->gap_s == 5 * 3600.0 - 60.0);
  CHECK(gap.report->without.longest_spell_s == 180.0);
  CHECK_FALSE(gap.report->without.spell_over_4s_count);  // one minute cannot tell
  // 29 March 2026 and 25 October 2026 are the Sundays on which the clock changes in the United Kingdom.
  const Read ahead = read(header + row("2026-03-29 00:58:00") + row("2026-03-29 00:59:00") +
                          row("2026-03-29 02:00:00") + row("2026-03-29 02:01:00"));
  CHECK(ahead.report->clock_forward_count == 1);
  CHECK(ahead.report->gap_count == 0);
  CHECK(ahead.report->without.longest_spell_s == 240.0);
  const Read back = read(header + row("2026-10-25 01:58:00") + row("2026-10-25 01:59:00") +
                         row("2026-10-25 01:00:00") + row("2026-10-25 01:01:00"));
  CHECK(back.report->clock_back_count == 1);
  CHECK(back.report->disorder_count == 0);
  CHECK(back.report->without.longest_spell_s == 240.0);
}

TEST_CASE("a broken cell is located and counted, and the rest is analysed", "[loads]") {
  std::string text = invented_log(300, 1);
  text.replace(text.find("00:02:05,42.0"), 13, "00:02:05,4x.0");
  const Read got = read(text);
  REQUIRE(got.report);
  CHECK(got.report->row_count == 299);
  CHECK(got.report->skipped_count == 1);
  REQUIRE(got.says("log-cell"));
  const Diagnostic& found = got.diagnostics.all().front();
  CHECK(found.at.line == 127);  // header, then row 126
  CHECK(found.at.column == 21);
  CHECK(found.message.find("4x.0") != std::string::npos);
}

TEST_CASE("bad logs are refused with what is wrong", "[loads]") {
  CHECK(read("").says("log-empty"));
  CHECK(read("time,L1 (A),L2 (A)\n2026-03-02 00:00:00,1,2\n").says("log-columns"));
  CHECK(read("time,L1,L2,L3\n2026-03-02 00:00:00,1,2,3\n").says("log-unit"));
  CHECK(read("2026-03-02 00:00:00,1,2,3\n").says("log-header"));
  CHECK(read(header + "2026-03-02 00:00:00,12000,9000,8000\n").says("log-unit"));
  CHECK(read(header).says("log-empty"));
  CHECK_FALSE(read(header).report);
  const Read power_factor =
      read("time,L1 (A),L2 (A),L3 (A),pf 1,pf 2,pf 3\n2026-03-02 00:00:00,1,2,3,1.2,1,1\n"
           "2026-03-02 00:00:01,1,2,3,1,1,1\n");
  CHECK(power_factor.says("log-cell"));
  CHECK(power_factor.report->row_count == 1);
  const Read torn = read(header + "2026-03-02 00:00:00,1,2,3\n2026-03-02 00:00:01,1,2");
  CHECK(torn.says("log-end"));
  CHECK(torn.report->row_count == 1);
}

TEST_CASE("amperes, milliamperes and kilowatts come to the same", "[loads]") {
  const double amps_v = read(header + "2026-03-02 00:00:00,40,10,10\n").report->without.worst.met_v;
  CHECK(read("time,L1 [mA],L2 [mA],L3 [mA]\n2026-03-02 00:00:00,40000,10000,10000\n")
            .report->without.worst.met_v == Approx(amps_v));
  CHECK(read("Timestamp;P1 kW;P2 kW;P3 kW\n2026-03-02 00:00:00;9,2;2,3;2,3\n").report->without.worst.met_v ==
        Approx(amps_v));
  LoadLogQuestion question = three_phase();
  question.unit = LogUnit::kilowatt;
  CHECK(read("time,L1,L2,L3\n2026-03-02 00:00:00,9.2,2.3,2.3\n", question).report->without.worst.met_v ==
        Approx(amps_v));
}

TEST_CASE("a planned charge point is judged on and off, and managed only if that fails safe", "[loads]") {
  LoadLogQuestion question = three_phase();
  question.charge = PlannedCharge{};
  question.charge->phase = 1;
  const std::string text = header + "2026-03-02 00:00:00,10,10,10\n2026-03-02 00:00:01,2,30,2\n";
  const LoadLogReport plain = *read(text, question).report;
  CHECK(plain.without.worst.met_v == Approx(253.0 * 28.0 / 34.0));  // off is worse: phase 2 stands out
  CHECK_FALSE(plain.without.worst.is_charging);
  question.charge->managed_to_a = 20.0;
  const std::string steady = header + "2026-03-02 00:00:00,10,10,10\n";
  CHECK(read(steady, question).report->without.worst.met_v == Approx(253.0 * 32.0 / 62.0));
  question.charge->does_fail_safe = true;
  CHECK(read(steady, question).report->without.worst.met_v == Approx(253.0 * 10.0 / 40.0));
  question.charge->phase = 0;
  CHECK(read(steady, question).report->without.worst.met_v == Approx(0.0).margin(1e-9));
}

TEST_CASE("the worst instant of a balanced base with a charge is at low load", "[loads]") {
  std::string text = header;
  for (int k = 0; k < 60; ++k) {
    const int base_a = k == 30 ? 5 : 40;
    text += "2026-03-02 00:" + std::string(k < 10 ? "0" : "") + std::to_string(k) + ":00," +
            std::to_string(base_a + 32) + "," + std::to_string(base_a) + "," + std::to_string(base_a) + "\n";
  }
  const LoadLogReport report = *read(text).report;
  CHECK(report.without.worst.line == 32);
  CHECK(report.is_worst_at_low_load);
}
