// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

using namespace ohmroot::electrode;
using ohmroot::earth::LayeredSoil;

namespace {

/// A row of reference/electrode/parallel_bars.txt: Galerkin in numpy with closed-form entries, even elements of
/// 0.15 m; nothing is shared with the library.
struct Row {
  std::string what;
  double value;
  double own_error_ratio;
};

std::map<std::string, std::vector<Row>> rows_by_case() {
  std::ifstream file(std::string(OHMROOT_SOURCE_DIR) + "/reference/electrode/parallel_bars.txt");
  REQUIRE(file.good());
  std::map<std::string, std::vector<Row>> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.front() == '#') continue;
    std::istringstream words(line);
    std::string name;
    Row row;
    double coarser = 0.0;
    REQUIRE(words >> name >> row.what >> row.value >> coarser >> row.own_error_ratio);
    row.own_error_ratio = std::abs(row.own_error_ratio);
    rows[name].push_back(row);
  }
  return rows;
}

struct Case {
  LayeredSoil soil;
  std::vector<Electrode> electrodes;
};

const std::map<std::string, Case>& cases() {
  static const std::vector<Electrode> pipe{{"pipe", {{{0, 0, 0.8}, {100, 0, 0.8}, 0.05}}}};
  static const std::vector<Electrode> pair{{"bar", {{{0, 0, 0.5}, {20, 0, 0.5}, 0.00625}}},
                                           {"pipe", {{{5, 1.5, 1.0}, {45, 1.5, 1.0}, 0.05}}}};
  static const std::vector<Electrode> sleeve{{"bar",
                                              {{{0, 0, 0.6}, {10, 0, 0.6}, 0.005},
                                               {{10, 0, 0.6}, {20, 0, 0.6}, 0.005, Coating::insulated},
                                               {{20, 0, 0.6}, {30, 0, 0.6}, 0.005}}}};
  static const std::map<std::string, Case> all{
      {"pipe-100m-uniform", {LayeredSoil(100.0), pipe}},
      {"pipe-100m-200-40", {LayeredSoil({{200.0, 2.0}, {40.0, 0.0}}), pipe}},
      {"pipe-100m-40-400", {LayeredSoil({{40.0, 2.0}, {400.0, 0.0}}), pipe}},
      {"bar-and-floating-pipe-uniform", {LayeredSoil(100.0), pair}},
      {"bar-and-floating-pipe-100-500", {LayeredSoil({{100.0, 1.6}, {500.0, 0.0}}), pair}},
      {"bar-with-insulated-middle-uniform", {LayeredSoil(100.0), sleeve}},
      {"bar-with-insulated-middle-300-60", {LayeredSoil({{300.0, 1.5}, {60.0, 0.0}}), sleeve}}};
  return all;
}

double computed(const FieldSolution& field, const FieldState& state, const std::string& what) {
  if (what.front() == 'R')
    return field.resistance_ohm(static_cast<std::size_t>(what[1] - '0'),
                                static_cast<std::size_t>(what[2] - '0'));
  Place place{0.0, 0.0, 0.0};
  REQUIRE(std::sscanf(what.c_str(), "V(%lf,%lf)", &place.x_m, &place.y_m) == 2);
  return field.potentials_v(state, {&place, 1})[0];
}

}  // namespace

TEST_CASE("mutual, transferred, floating and insulated values, and the ground beside long bars, meet an "
          "independent "
          "computation",
          "[field][reference]") {
  // 0.1 % is what the engine is required to meet for all of them, and honest means within twice the estimate.
  const auto rows = rows_by_case();
  REQUIRE(rows.size() == cases().size());
  int honest = 0;
  int count = 0;
  for (const auto& [name, given] : cases()) {
    const FieldSolution field =
        solve_field(given.soil, given.electrodes, {.tolerance_ratio = 2e-4, .place_tolerance_ratio = 5e-4});
    CHECK(field.status() == FieldStatus::converged);
    std::vector<Duty> duties(given.electrodes.size(), Duty{DutyKind::floating});
    duties.front() = {DutyKind::current, 1.0};
    const FieldState state = field.state(duties);
    std::map<std::string, double> own;
    for (const Row& row : rows.at(name)) {
      const double error = std::abs(computed(field, state, row.what) / row.value - 1.0);
      const bool is_resistance = row.what.front() == 'R';
      const double estimate = is_resistance ? field.estimate_ratio() : field.place_estimate_ratio().value();
      CAPTURE(name, row.what, error, estimate, row.own_error_ratio);
      const bool is_own = is_resistance && row.what[1] == row.what[2];
      CHECK(error <= (is_own ? 5e-4 : 1e-3) + row.own_error_ratio);
      ++count;
      if (error <= 2.0 * estimate + row.own_error_ratio) ++honest;
      if (is_resistance) own[row.what] = row.value;
    }
    if (given.electrodes.size() == 2)  // the share that the floating pipe takes of the bar's potential
      CHECK(state.potentials_v[1] / state.potentials_v[0] ==
            Approx(own.at("R01") / own.at("R00")).epsilon(1e-3).scale(0));
  }
  CHECK(honest >= 0.95 * count);
}

TEST_CASE("potentials are asked for by a tolerance of their own", "[field]") {
  const std::vector<Electrode> pipe{{"pipe", {{{0, 0, 0.8}, {100, 0, 0.8}, 0.05}}}};
  CHECK_FALSE(solve_field(LayeredSoil(100.0), pipe).place_estimate_ratio());
  const auto asked = solve_field(LayeredSoil(100.0), pipe, {.place_tolerance_ratio = 1e-3});
  CHECK(asked.place_estimate_ratio().value() <= 1e-3);
  CHECK_THROWS_WITH(solve_field(LayeredSoil(100.0), pipe, {.place_tolerance_ratio = 0.5}),
                    Catch::Contains("place_tolerance_ratio"));
}
