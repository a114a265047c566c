// SPDX-License-Identifier: MIT
// Sheets of other arrays, repeats, both ways of the current, and the lines above the table. The layouts are invented;
// geometric factors are those of the definition of each array (Wenner, J. Franklin Inst. 1915, from memory).

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace {

using namespace ohmroot;
using namespace ohmroot::sounding;

struct Outcome {
  Diagnostics diagnostics{"line1.csv"};
  FieldSheet sheet;
};

Outcome read(const std::string& text) {
  Outcome outcome;
  outcome.sheet = read_field_sheet(text, {}, outcome.diagnostics);
  return outcome;
}

bool has_error(const Outcome& outcome, const std::string& code) {
  const auto& all = outcome.diagnostics.all();
  return std::any_of(all.begin(), all.end(), [&](const Diagnostic& d) {
    return d.severity == Severity::error && d.code == code && !d.hint.empty();
  });
}

}  // namespace

TEST_CASE("each row may state an array of its own", "[sounding]") {
  const Outcome outcome =
      read("array,a (m),n,R (ohm)\n"
           "Wenner,2,,10\nWenner beta,2,,3.3\nwenner gamma,2,,6.7\ndipole-dipole,2,3,0.5\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  REQUIRE(outcome.sheet.readings.size() == 4);
  const double pi = std::numbers::pi;
  const auto factor_m = [&](std::size_t i) { return geometric_factor_m(outcome.sheet.readings[i]); };
  CHECK(factor_m(0) == Approx(2 * pi * 2));
  CHECK(factor_m(1) == Approx(6 * pi * 2));
  CHECK(factor_m(2) == Approx(3 * pi * 2));
  CHECK(factor_m(3) == Approx(pi * 3 * 4 * 5 * 2));  // pi n (n + 1)(n + 2) a
}

TEST_CASE("MN off the centre is a column", "[sounding]") {
  const Outcome outcome = read("AB/2 (m),MN/2 (m),offset (m),R (ohm)\n10,1,2,1.5\n10,1,-2,1.5\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  REQUIRE(outcome.sheet.readings.size() == 2);
  CHECK(outcome.sheet.readings[0].potential_offset_m == 2.0);
  CHECK(outcome.sheet.readings[1].potential_offset_m == -2.0);
  CHECK(geometric_factor_m(outcome.sheet.readings[0]) ==
        Approx(geometric_factor_m(outcome.sheet.readings[1])));
  CHECK(has_error(read("AB/2 (m),MN/2 (m),offset (m),R (ohm)\n10,1,9.5,1.5\n"), "wrong-order"));
}

TEST_CASE("repeats and both ways of the current become one reading that keeps its parts", "[sounding]") {
  const Outcome repeats = read("a (m),R1 (ohm),R2 (ohm),R3 (ohm)\n2,10,11,12\n4,5,,\n");
  CHECK_FALSE(repeats.diagnostics.has_errors());
  REQUIRE(repeats.sheet.readings.size() == 2);
  CHECK(repeats.sheet.readings[0].resistance_ohm == Approx(11.0));
  CHECK(repeats.sheet.readings[0].repeats_ohm.size() == 3);
  CHECK(repeats.sheet.readings[1].resistance_ohm == 5.0);
  CHECK(repeats.sheet.readings[1].repeats_ohm.empty());

  // 100 mV of the ground itself added to 1 V one way, and taken from it the other way
  const Outcome ways = read("a (m),V (V),I (A),V reversed (V),I reversed (A)\n2,1.1,0.1,-0.9,-0.1\n");
  CHECK_FALSE(ways.diagnostics.has_errors());
  REQUIRE(ways.sheet.readings.size() == 1);
  CHECK(ways.sheet.readings[0].resistance_ohm == Approx(10.0));
  REQUIRE(ways.sheet.readings[0].polarity);
  CHECK(ways.sheet.readings[0].polarity->forward_ohm == Approx(11.0));
  CHECK(ways.sheet.readings[0].polarity->reversed_ohm == Approx(9.0));
}

TEST_CASE("lines above the table are the record, and its errors enter every reading", "[sounding]") {
  const Outcome outcome =
      read("Date,2026-11-26\nInstrument,four-pole tester class 2\nWeather,dry for a week\n"
           "Spacing error,2 cm\nLast digit,0.1 ohm\na (m),R (ohm)\n1,20\n4,0.5\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  REQUIRE(outcome.sheet.readings.size() == 2);
  CHECK(outcome.sheet.record.size() == 5);
  const auto missing = missing_record(outcome.sheet.record);
  CHECK(missing.size() == 2);  // soil and nearby metal
  // 2.06 e / a for Wenner: derivative of the four distances, each stake on its own; the count's rounding over
  // sqrt(12) (even distribution)
  const double near_ratio = std::sqrt(0.05 * 0.05 + std::pow(2.06 * 0.02, 2) + std::pow(0.1 / 20, 2) / 12.0);
  const double far_ratio =
      std::sqrt(0.05 * 0.05 + std::pow(2.06 * 0.02 / 4.0, 2) + std::pow(0.1 / 0.5, 2) / 12.0);
  CHECK(outcome.sheet.readings[0].relative_error_ratio == Approx(near_ratio).epsilon(1e-3));
  CHECK(outcome.sheet.readings[1].relative_error_ratio == Approx(far_ratio).epsilon(1e-3));
  CHECK(has_error(read("Spacing error,about a hand\na (m),R (ohm)\n1,20\n"), "not-a-number"));
}

TEST_CASE("an over-range row is a bound, never a reading and never 0", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm)\n1,20\n2,>2000\n4,OL\n");
  CHECK(outcome.sheet.readings.size() == 1);
  CHECK(outcome.sheet.skipped.size() == 2);
  REQUIRE_FALSE(outcome.sheet.bounds.empty());
  CHECK(outcome.sheet.bounds[0].is_lower_bound);
  CHECK(outcome.sheet.bounds[0].resistance_ohm == 2000.0);
}

// Wenner laid out by coordinates is Wenner; on a square of side s the factor is 2 pi s / (2 - sqrt 2), from the four
// distances of the definition.
TEST_CASE("four stakes by coordinates", "[sounding]") {
  const Outcome line = read("Ax (m),Bx (m),Mx (m),Nx (m),R (ohm)\n-3,3,-1,1,10\n");
  CHECK_FALSE(line.diagnostics.has_errors());
  REQUIRE(line.sheet.readings.size() == 1);
  CHECK(geometric_factor_m(line.sheet.readings[0]) == Approx(2 * std::numbers::pi * 2));
  const Outcome square =
      read("Ax (m),Ay (m),Bx (m),By (m),Mx (m),My (m),Nx (m),Ny (m),R (ohm)\n0,0,0,4,4,0,4,4,0.5\n");
  CHECK_FALSE(square.diagnostics.has_errors());
  REQUIRE(square.sheet.readings.size() == 1);
  CHECK(geometric_factor_m(square.sheet.readings[0]) ==
        Approx(2 * std::numbers::pi * 4 / (2 - std::numbers::sqrt2)));
  CHECK(has_error(read("Ax (m),Bx (m),Mx (m),Nx (m),R (ohm)\n-3,3,,1,10\n"), "missing-spacing"));
  CHECK(has_error(read("Ax (m),Bx (m),Mx (m),R (ohm)\n-3,3,-1,10\n"), "missing-spacing"));
  CHECK(has_error(read("Ax (m),Bx (m),Mx (m),Nx (m),R (ohm)\n-3,3,1,1,10\n"), "wrong-place"));
  CHECK(has_error(read("array,Ax (m),Bx (m),Mx (m),Nx (m),R (ohm)\nWenner,-3,3,-1,1,10\n"), "wrong-array"));
  CHECK_FALSE(read("Ax (m),Bx (m),Mx (m),Nx (m),R (ohm)\n-3,3,-1,1,10\n,,,,\n").diagnostics.has_errors());
}

TEST_CASE("a driven rod stands in rows of the sheet or in a table of its own", "[sounding]") {
  const Outcome own =
      read("Last digit, 0.1 ohm\n"
           "a (m),R (ohm)\n1,20\n2,9\n4,4\n\n"
           "rod,rod length (m),rod diameter (mm),R (ohm),error (%),current stake (m),potential stake (m)\n"
           "east,1.2,16,80,3,20,12.4\neast,2.4,16,> 2000,3,,\neast,3.6,16,25,3,,\n");
  CHECK_FALSE(own.diagnostics.has_errors());
  CHECK(own.sheet.readings.size() == 3);
  REQUIRE(own.sheet.rods.size() == 3);
  const DrivenRodReading& first = own.sheet.rods[0];
  CHECK(first.rod == "east");
  CHECK(first.driven_length_m == 1.2);
  CHECK(first.diameter_m == Approx(0.016));
  CHECK(first.resistance_ohm == 80.0);
  // 3 % and a rectangular last digit, width 0.1 ohm of 80.
  CHECK(first.relative_error_ratio == Approx(std::hypot(0.03, 0.1 / 80.0 / std::sqrt(12.0))));
  CHECK(first.current_stake_distance_m == 20.0);
  CHECK(first.potential_stake_distance_m == 12.4);
  CHECK(first.sheet_line == 8);
  CHECK(own.sheet.rods[1].is_lower_bound);
  CHECK(own.sheet.rods[1].resistance_ohm == 2000.0);
  CHECK_FALSE(own.sheet.rods[2].current_stake_distance_m);

  const Outcome mixed = read("a (m),rod length (m),rod diameter (mm),R (ohm)\n1,,,20\n2,,,9\n,2.4,16,40\n");
  CHECK_FALSE(mixed.diagnostics.has_errors());
  CHECK(mixed.sheet.readings.size() == 2);
  CHECK(mixed.sheet.rods.size() == 1);
}

TEST_CASE("what a rod's row lacks or confuses is said", "[sounding]") {
  const std::string head = "rod length (m),rod diameter (mm),current stake (m),potential stake (m),R (ohm)\n";
  CHECK(has_error(read("rod length (m),R (ohm)\n2.4,40\n"), "no-diameter-column"));
  CHECK(has_error(read("a (m),rod length (m),R (ohm)\n1,,20\n,2.4,40\n"), "missing-rod"));
  CHECK(has_error(read("rod length (m),rod diameter (mm),rho (ohm m)\n2.4,16,100\n"), "no-reading-column"));
  CHECK(has_error(read("rod length (m),rod diameter,R (ohm)\n2.4,16,40\n"), "no-unit"));
  CHECK(has_error(read(head + "2.4,,,,40\n"), "missing-rod"));
  CHECK(has_error(read(head + "2.4,16,20,,40\n"), "missing-stake"));
  CHECK(has_error(read(head + "2.4,16,12,20,40\n"), "wrong-order"));
  CHECK(has_error(read(head + "0.1,190,,,40\n"), "implausible"));
  CHECK(has_error(read(head + "2.4,16,,,-40\n"), "not-positive"));
}

TEST_CASE("stakes that a sheet calls rods are four stakes still", "[sounding]") {
  const Outcome stakes = read("a (m),rod length (m),rod diameter,R (ohm)\n1,0.5,,20\n2,0.5,,9\n4,0.5,,4\n");
  CHECK(stakes.sheet.rods.empty());
  const Outcome plain = read("a (m),rod length (m),R (ohm)\n1,0.5,20\n2,0.5,9\n4,0.5,4\n");
  CHECK_FALSE(plain.diagnostics.has_errors());
  CHECK(plain.sheet.readings.size() == 3);
  CHECK(plain.sheet.rods.empty());
}
