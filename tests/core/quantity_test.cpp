// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <random>
#include <string>

using ohmroot::Dimension;
using ohmroot::parse_quantity;

TEST_CASE("quantities are read with their unit and returned in SI", "[core]") {
  struct Row {
    const char* text;
    Dimension dimension;
    double si;
  };
  const std::array<Row, 22> rows{{{"16 mm", Dimension::length, 0.016},
                                  {"2.4m", Dimension::length, 2.4},
                                  {" 2.4 m ", Dimension::length, 2.4},
                                  {"10 ft", Dimension::length, 3.048},
                                  {"100 ohm m", Dimension::resistivity, 100.0},
                                  {"100 ohm.m", Dimension::resistivity, 100.0},
                                  {"100 ohm-m", Dimension::resistivity, 100.0},
                                  {"100 Ohm m", Dimension::resistivity, 100.0},
                                  {"7662 ohm cm", Dimension::resistivity, 76.62},
                                  {"100 \xCE\xA9\xC2\xB7m", Dimension::resistivity, 100.0},
                                  {"100 \xE2\x84\xA6 m", Dimension::resistivity, 100.0},
                                  {"21\xCE\xA9", Dimension::resistance, 21.0},
                                  {"5 m\xCE\xA9", Dimension::resistance, 0.005},
                                  {"5 M\xCE\xA9", Dimension::resistance, 5e6},
                                  {"1.2e3 ohm", Dimension::resistance, 1200.0},
                                  {"30 mA", Dimension::current, 0.030},
                                  {"3 \xC2\xB5"
                                   "A",
                                   Dimension::current, 3e-6},
                                  {"3 \xCE\xBC"
                                   "A",
                                   Dimension::current, 3e-6},
                                  {"7.4 kW", Dimension::power, 7400.0},
                                  {"+70 V", Dimension::voltage, 70.0},
                                  {"5 %", Dimension::ratio, 0.05},
                                  {"1.4", Dimension::ratio, 1.4}}};
  for (const Row& row : rows) {
    INFO(row.text);
    const auto parsed = parse_quantity(row.text, row.dimension);
    CHECK(parsed.problem.empty());
    REQUIRE(parsed.si_value.has_value());
    CHECK(*parsed.si_value == Approx(row.si).epsilon(1e-14));
  }
}

TEST_CASE("what is no quantity of the dimension asked for is refused with a sentence", "[core]") {
  struct Row {
    const char* text;
    Dimension dimension;
    const char* says;
  };
  const std::array<Row, 16> rows{{{"2.4", Dimension::length, "no unit"},
                                  {"2,4 m", Dimension::length, "comma"},
                                  {"1,234 m", Dimension::length, "comma"},
                                  {"16 MM", Dimension::length, "not known"},
                                  {"2.4 ohm", Dimension::length, "is a resistance"},
                                  {"3 m", Dimension::resistance, "where a resistance is needed"},
                                  {"100 ohm", Dimension::resistivity, "where a resistivity is needed"},
                                  {"nan m", Dimension::length, "not a finite number"},
                                  {"inf ohm", Dimension::resistance, "not a finite number"},
                                  {"1e999 m", Dimension::length, "too large"},
                                  {"0x10 m", Dimension::length, "hexadecimal"},
                                  {"", Dimension::length, "empty"},
                                  {"wet clay", Dimension::resistivity, "does not start with a number"},
                                  {"--3 m", Dimension::length, "does not start with a number"},
                                  {"+-3 m", Dimension::length, "does not start with a number"},
                                  {"5 m", Dimension::ratio, "number without unit is needed"}}};
  for (const Row& row : rows) {
    INFO(row.text);
    const auto parsed = parse_quantity(row.text, row.dimension);
    CHECK_FALSE(parsed.si_value.has_value());
    CHECK_THAT(parsed.problem, Catch::Contains(row.says));
  }
}

TEST_CASE("a quantity printed with all its digits reads back to the same value", "[core][property]") {
  std::mt19937_64 random(20261124);
  std::uniform_real_distribution<double> exponent(-3.0, 5.0);
  for (const Dimension dimension : {Dimension::length, Dimension::resistance, Dimension::resistivity,
                                    Dimension::voltage, Dimension::current, Dimension::power}) {
    for (int draw = 0; draw < 500; ++draw) {
      const double value = std::pow(10.0, exponent(random));
      const std::string text = ohmroot::format_quantity(value, dimension, 17);
      INFO(text);
      const auto parsed = parse_quantity(text, dimension);
      REQUIRE(parsed.si_value.has_value());
      CHECK(*parsed.si_value == Approx(value).epsilon(1e-15));
    }
  }
}

TEST_CASE("numbers are printed to the figures asked for", "[core]") {
  CHECK(ohmroot::format_number(2.7493, 3) == "2.75");
  CHECK(ohmroot::format_number(9.996, 3) == "10.0");
  CHECK(ohmroot::format_number(87.98, 3) == "88.0");
  CHECK(ohmroot::format_number(1234.5, 3) == "1230");
  CHECK(ohmroot::format_number(0.00123, 2) == "0.0012");
  CHECK(ohmroot::format_number(-0.5, 2) == "-0.50");
  CHECK(ohmroot::format_quantity(0.016, Dimension::length) == "16.0 mm");
  CHECK(ohmroot::format_quantity(2.4, Dimension::length) == "2.40 m");
  CHECK(ohmroot::format_quantity(2200, Dimension::power, 2) == "2.2 kW");
  CHECK(ohmroot::format_quantity(1000, Dimension::resistivity, 3) == "1000 ohm m");
  CHECK(ohmroot::format_quantity(0.03, Dimension::current, 2) == "30 mA");
}

TEST_CASE("a stated value is printed as it was stated", "[core]") {
  CHECK(ohmroot::format_given(70.0, Dimension::voltage) == "70 V");
  CHECK(ohmroot::format_given(216.2, Dimension::voltage) == "216.2 V");
  CHECK(ohmroot::format_given(0.016, Dimension::length) == "16 mm");
  CHECK(ohmroot::format_given(100.0, Dimension::resistivity) == "100 ohm m");
  CHECK(ohmroot::format_given(0.0, Dimension::resistance) == "0 ohm");
  CHECK(ohmroot::format_given(1.4, Dimension::ratio) == "1.4");
}

TEST_CASE("the nearest word is found only when it is near", "[core]") {
  const std::array<std::string_view, 3> words{"resistivity", "thickness", "depth"};
  CHECK(ohmroot::nearest_word("resistivty", words) == "resistivity");
  CHECK(ohmroot::nearest_word("dept", words) == "depth");
  CHECK(ohmroot::nearest_word("voltage", words).empty());
  const std::array<std::string_view, 2> soils{"chalk", "clay"};
  CHECK(ohmroot::nearest_word("caly", soils) == "clay");  // letters swapped are one slip
}
