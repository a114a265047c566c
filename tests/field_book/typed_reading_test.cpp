// SPDX-License-Identifier: MIT
// What a cold hand types, and what it must not be taken for.
#include <ohmroot/sounding/typed_reading.hpp>

#include <catch2/catch.hpp>

using namespace ohmroot::sounding;

namespace {

FourPoleReading good(const std::string& words, const TypedDefaults& defaults = {}) {
  const TypedReading typed = read_typed(words, defaults);
  INFO(words << ": " << typed.problem);
  REQUIRE(typed.reading.has_value());
  CHECK(typed.problem.empty());
  return *typed.reading;
}

TypedDefaults bare() {
  TypedDefaults defaults;
  defaults.takes_bare_numbers = true;
  return defaults;
}

}  // namespace

TEST_CASE("readings are read in any order and with any unit of length or resistance", "[typed]") {
  for (const char* words : {"a=4 m R=12.3 ohm", "R=12.3 ohm a=4 m", "a = 400 cm, R = 12.3 ohm",
                            "A=4m r=12300 mohm", "a=4 m V=123 mV I=10 mA", "  a=4 m;R=12.3 ohm  "}) {
    const FourPoleReading reading = good(words);
    CHECK(reading.array == Array::wenner);
    CHECK(reading.half_current_spacing_m == Approx(6.0));
    CHECK(reading.half_potential_spacing_m == Approx(2.0));
    CHECK(reading.resistance_ohm == Approx(12.3));
    CHECK(reading.relative_error_ratio == 0.05);
  }
  const FourPoleReading wide = good("AB/2=10 m MN/2=50 cm R=2 ohm depth=15 cm error=3 %");
  CHECK(wide.array == Array::schlumberger);
  CHECK(wide.half_current_spacing_m == 10.0);
  CHECK(wide.half_potential_spacing_m == 0.5);
  CHECK(wide.driven_depth_m == Approx(0.15));
  CHECK(wide.relative_error_ratio == Approx(0.03));
}

TEST_CASE("names and remarks keep their words", "[typed]") {
  const TypedReading typed = read_typed("a=4 m along=the hedge R=1 ohm note=\"R=2 ohm before, wet\"");
  REQUIRE(typed.reading.has_value());
  CHECK(typed.reading->traverse == "the hedge");
  CHECK(typed.remark == "R=2 ohm before, wet");
}

TEST_CASE("over range is a bound", "[typed]") {
  CHECK(good("a=1 m R=OL").is_lower_bound);
  const FourPoleReading bound = good("a=1 m R=>1999 ohm");
  CHECK(bound.is_lower_bound);
  CHECK(bound.resistance_ohm == 1999.0);
  CHECK_FALSE(good("a=1 m R=1999 ohm").is_lower_bound);
}

TEST_CASE("bare numbers are taken only where the prompt says so", "[typed]") {
  CHECK_FALSE(read_typed("4 12.3").reading.has_value());
  CHECK_FALSE(read_typed("a=4 R=12.3").reading.has_value());
  CHECK(good("4 12.3", bare()).resistance_ohm == 12.3);
  CHECK(good("4 OL", bare()).is_lower_bound);
  CHECK(good("a=400 cm R=12.3", bare()).half_current_spacing_m == Approx(6.0));
  CHECK_FALSE(read_typed("4", bare()).reading.has_value());
  CHECK_FALSE(read_typed("4 1,234", bare()).reading.has_value());
  CHECK_FALSE(read_typed("4 nan", bare()).reading.has_value());
}

TEST_CASE("a correction keeps what is not typed again", "[typed]") {
  TypedDefaults defaults = bare();
  defaults.corrected = wenner_reading(2, 250);
  defaults.corrected->traverse = "hedge";
  defaults.corrected->driven_depth_m = 0.1;
  const FourPoleReading reading = good("R=25", defaults);
  CHECK(reading.half_current_spacing_m == 3.0);
  CHECK(reading.resistance_ohm == 25.0);
  CHECK(reading.traverse == "hedge");
  CHECK(reading.driven_depth_m == 0.1);
  CHECK(good("a=3", defaults).resistance_ohm == 250.0);
}

TEST_CASE("each mistake is named with its remedy", "[typed]") {
  struct Mistake {
    std::string words;
    std::string problem;
  };
  for (const Mistake& m : std::vector<Mistake>{{"", "no spacing"},
                                               {"a=4 m", "no reading"},
                                               {"R=4 ohm", "no spacing"},
                                               {"a=4 m R=12.3 m", "R:"},
                                               {"a=4 m R=12,3 ohm", "R:"},
                                               {"a=4 m a=5 m R=1 ohm", "given twice"},
                                               {"a=4 m R=", "no value"},
                                               {"a=4 m Rr=3 ohm", "'Rr'"},
                                               {"AB/2=4 m R=3 ohm", "only one of AB/2"},
                                               {"a=4 m V=3 V", "only one of V"},
                                               {"a=4 m V=3 V I=0 A", "greater than 0"},
                                               {"a=4 m R=1 ohm note=\"open", "never closed"},
                                               {"a=4 m AB/2=3 m R=1 ohm", "both a and"},
                                               {"twelve", "no pair"}}) {
    const TypedReading typed = read_typed(m.words);
    INFO(m.words << " -> " << typed.problem);
    CHECK_FALSE(typed.reading.has_value());
    CHECK(typed.problem.find(m.problem) != std::string::npos);
    CHECK_FALSE(typed.hint.empty());
  }
}
