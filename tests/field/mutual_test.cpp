// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <fstream>
#include <map>
#include <sstream>

// Own and mutual resistances of a rod and a ring about it against finite elements (gmsh and getdp, deck and
// script in reference/fem, run_mutual): another method and another program, its energies from below.

using namespace field_cases;

namespace {

struct Row {
  double rod_ohm;
  double ring_ohm;
  double mutual_ohm;
};

/// The finest row of each pair of layers.
std::map<std::string, Row> rows() {
  std::ifstream file(std::string(OHMROOT_SOURCE_DIR) + "/reference/fem/mutual.txt");
  REQUIRE(file.good());
  std::map<std::string, Row> result;
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line[0] == '#') continue;
    std::istringstream words(line);
    std::string name;
    int fine = 0;
    int nodes = 0;
    Row row{};
    words >> name >> fine >> nodes >> row.rod_ohm >> row.ring_ohm >> row.mutual_ohm;
    REQUIRE(!words.fail());
    result[name] = row;  // finenesses ascend
  }
  return result;
}

}  // namespace

TEST_CASE("finite elements: mutual resistance of a rod that crosses a boundary and a ring about it") {
  const auto finite = rows();
  CHECK(finite.size() == 3);
  const std::map<std::string, LayeredSoil> soils{
      {"100-over-100", LayeredSoil(100.0)},
      {"100-over-1000", LayeredSoil({{100.0, 1.2}, {1000.0, 0.0}})},
      {"1000-over-100", LayeredSoil({{1000.0, 1.2}, {100.0, 0.0}})}};
  for (const auto& [name, row] : finite) {
    CAPTURE(name);
    const auto solution = solve_field(
        soils.at(name), {{"rod", rods({{0, 0}})}, {"ring", ring_of({4.0, 0.008, 0.6}, {0.0, 0.0})}}, {2e-4});
    CHECK(solution.resistance_ohm(0, 0) == Approx(row.rod_ohm).epsilon(5e-4).scale(0));
    CHECK(solution.resistance_ohm(1, 1) == Approx(row.ring_ohm).epsilon(5e-4).scale(0));
    CHECK(solution.resistance_ohm(0, 1) == Approx(row.mutual_ohm).epsilon(1e-3).scale(0));
    // The ring at 1 V transfers this share to a rod that floats.
    const std::vector<Duty> duties{{DutyKind::floating}, {DutyKind::potential, 1.0}};
    CHECK(solution.state(duties).potentials_v[0] ==
          Approx(row.mutual_ohm / row.ring_ohm).epsilon(1e-3).scale(0));
  }
}
