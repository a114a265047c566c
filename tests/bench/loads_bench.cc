// SPDX-License-Identifier: MIT
// Rows per second of the load log on one core, with every statistic on. Invented data, made in memory:
// the file system has no part in the figure.   Usage: loads_bench [million rows, default 8]
#include <ohmroot/supply/load_log.hpp>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <random>
#include <string>

using namespace ohmroot;
using namespace ohmroot::supply;

namespace {

std::string invented_log(long count) {
  std::string text = "time,L1 (A),L2 (A),L3 (A)\n";
  text.reserve(static_cast<std::size_t>(count) * 40);
  std::mt19937_64 engine(7);
  for (long k = 0; k < count; ++k) {
    const auto bits = engine();
    const double base_a = 8.0 + 0.01 * static_cast<double>(bits % 1500);
    const double charge_a = (k / 7200) % 4 == 1 ? 32.0 : 0.0;
    const long day = k / 86400;
    char line[64];
    const int size = std::snprintf(line, sizeof line, "2026-%02ld-%02ld %02ld:%02ld:%02ld,%.2f,%.2f,%.2f\n",
                                   day / 28 % 12 + 1, day % 28 + 1, k / 3600 % 24, k / 60 % 60, k % 60,
                                   base_a + charge_a, base_a + 0.01 * static_cast<double>(bits >> 20 & 255),
                                   base_a + 0.01 * static_cast<double>(bits >> 40 & 255));
    text.append(line, static_cast<std::size_t>(size));
  }
  return text;
}

void run(const char* name, const std::string& text, const LoadLogQuestion& question) {
  double best_s = 1e300;
  LoadLogReport report;
  for (int turn = 0; turn < 5; ++turn) {
    Diagnostics diagnostics;
    const std::clock_t start = std::clock();  // processor time: per core, whatever else runs
    LoadLog log(question, diagnostics);
    constexpr std::size_t piece = 1 << 20;
    for (std::size_t at = 0; at < text.size(); at += piece)
      log.feed(std::string_view(text).substr(at, piece));
    report = log.finish().value();
    best_s = std::min(best_s, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  std::printf("%-45s %6.2f million rows/s  (%lld rows, worst %.4f V)\n", name,
              1e-6 * static_cast<double>(report.row_count) / best_s, static_cast<long long>(report.row_count),
              report.without.worst.met_v);
}

}  // namespace

int main(int argc, char** argv) {
  const long count = 1000000L * (argc > 1 ? std::atol(argv[1]) : 8);
  const std::string text = invented_log(count);
  LoadLogQuestion question;
  question.supply.phase_count = 3;
  question.electrode_ohm = 10.0;
  run("constant impedance (target 8)", text, question);
  question.charge = PlannedCharge{};
  run("constant impedance, planned charge point", text, question);
  question.charge.reset();
  std::fflush(stdout);
  const std::string part = text.substr(0, text.find('\n', 2000000) + 1);
  question.model = LoadModel::constant_current;
  run("constant current", part, question);
  question.model = LoadModel::constant_power;
  run("constant power", part, question);
}
