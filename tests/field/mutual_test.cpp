// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/electrode/field_solution.hpp>

#include <catch2/catch.hpp>

#include <map>
#include <support/finite_elements.hpp>

// Own and mutual resistances of a rod and a ring about it against finite elements (gmsh and getdp, deck and
// script in reference/fem, run_mutual): another method and another program, its energies from below.

using namespace field_cases;

TEST_CASE("finite elements: mutual resistance of a rod that crosses a boundary and a ring about it") {
  const auto finite = ohmroot::test::finest_values("mutual.txt");
  CHECK(finite.size() == 3);
  const std::map<std::string, LayeredSoil> soils{
      {"100-over-100", LayeredSoil(100.0)},
      {"100-over-1000", LayeredSoil({{100.0, 1.2}, {1000.0, 0.0}})},
      {"1000-over-100", LayeredSoil({{1000.0, 1.2}, {100.0, 0.0}})}};
  for (const auto& [name, row] : finite) {
    CAPTURE(name);
    const double rod_ohm = row.at(0);
    const double ring_ohm = row.at(1);
    const double mutual_ohm = row.at(2);
    const auto solution = solve_field(
        soils.at(name), {{"rod", rods({{0, 0}})}, {"ring", ring_of({4.0, 0.008, 0.6}, {0.0, 0.0})}}, {2e-4});
    CHECK(solution.resistance_ohm(0, 0) == Approx(rod_ohm).epsilon(5e-4).scale(0));
    CHECK(solution.resistance_ohm(1, 1) == Approx(ring_ohm).epsilon(5e-4).scale(0));
    CHECK(solution.resistance_ohm(0, 1) == Approx(mutual_ohm).epsilon(1e-3).scale(0));
    // The ring at 1 V transfers this share to a rod that floats.
    const std::vector<Duty> duties{{DutyKind::floating}, {DutyKind::potential, 1.0}};
    CHECK(solution.state(duties).potentials_v[0] == Approx(mutual_ohm / ring_ohm).epsilon(1e-3).scale(0));
  }
}
