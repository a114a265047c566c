// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/drive_doubts.hpp>
#include <ohmroot/core/error.hpp>

#include <boost/math/constants/constants.hpp>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

sounding::DrivenRodReading section(double depth_m, double resistance_ohm, int line) {
  sounding::DrivenRodReading made;
  made.diameter_m = 0.016;
  made.driven_length_m = depth_m;
  made.resistance_ohm = resistance_ohm;
  made.relative_error_ratio = 0.05;
  made.sheet_line = line;
  return made;
}

/// rho / (2 pi L) (ln(8 L / d) - 1), uniform soil (H. B. Dwight, Trans. AIEE 55, 1936, 1319).
double rod_ohm(double depth_m, double resistivity_ohm_m) {
  return resistivity_ohm_m / (2.0 * boost::math::constants::pi<double>() * depth_m) *
         (std::log(8.0 * depth_m / 0.016) - 1.0);
}

}  // namespace

TEST_CASE("a rod that seems to lose by going deeper, or to be far too deep, is in doubt", "[acceptance]") {
  const auto slipped = drive_doubts({section(1.2, 78.0, 2), section(2.4, 420.0, 3)}, 4.8);
  REQUIRE(slipped.size() == 1);
  CHECK(slipped[0].sheet_line == 3);
  CHECK_THAT(slipped[0].sentence, Contains("cannot grow") && Contains("fit as 42.0 ohm"));
  const auto unit = drive_doubts({section(1.2, 78.0, 2), section(2.4, 42000.0, 3)}, 4.8);
  REQUIRE(unit.size() == 1);
  CHECK_THAT(unit[0].sentence, Contains("another unit"));
  const auto deep = drive_doubts({section(1.2, 86.0, 2), section(24.0, 48.0, 3)}, 2.4);
  REQUIRE(deep.size() == 1);
  CHECK_THAT(deep[0].sentence, Contains("24.0 m") && Contains("fit as 2.40 m"));
  // order of entering does not count, and a third reading is held against the lowest before it
  const auto swapped =
      drive_doubts({section(3.6, 60.0, 5), section(1.2, 78.0, 2), section(2.4, 42.0, 3)}, 4.8);
  REQUIRE(swapped.size() == 1);
  CHECK(swapped[0].sheet_line == 5);
  CHECK(drive_doubts({section(3.0, 40.0, 2)}, 2.4).empty());  // somewhat deeper than was thought
  CHECK(drive_doubts({}, 2.4).empty());
  CHECK_THROWS_AS(drive_doubts({}, 0.0), DomainError);
  CHECK_THROWS_AS(drive_doubts({section(1.2, -3.0, 2)}, 2.4), DomainError);
}

TEST_CASE("good drives are not doubted", "[acceptance]") {
  // A drive in uniform soil, sections of 0.3 m, where neighbours differ least; errors as stated. Three standard
  // deviations, one-sided: by a normal distribution at most 0.135 % of pairs; 14 readings a drive are held each
  // against one other, so that 2 % of drives are the most.
  boost::random::mt19937_64 engine(91);
  boost::random::normal_distribution<double> normal;
  int doubted = 0;
  constexpr int drive_count = 2000;
  for (int i = 0; i < drive_count; ++i) {
    std::vector<sounding::DrivenRodReading> drive;
    for (int k = 4; k <= 16; ++k)
      drive.push_back(section(0.3 * k, rod_ohm(0.3 * k, 100.0) * std::exp(0.05 * normal(engine)), k));
    if (!drive_doubts(drive, 4.8).empty()) ++doubted;
  }
  CHECK(doubted <= 0.02 * drive_count);
}
