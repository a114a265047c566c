// SPDX-License-Identifier: MIT
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <string>
#include <support/sample_site.hpp>

namespace {

using namespace ohmroot;
using test::sample_site;

constexpr const char* good_sheet = "a (m),R (ohm)\n1,15.9\n2,7.96\n4,3.98\n8,1.99\n";

struct Reading {
  std::optional<study::Site> site;
  Diagnostics found{"site.toml"};

  [[nodiscard]] std::string text() const {
    std::string all;
    for (const Diagnostic& d : found.all())
      all += to_text(d) + "\n";
    return all;
  }
};

Reading read(const std::string& toml, const std::string& sheet = good_sheet) {
  Reading result;
  const auto document = text::read_toml(toml, result.found);
  if (!document) return result;
  const auto load = [&](const std::string& name) -> std::optional<std::string> {
    if (name == "readings.csv") return sheet;
    return std::nullopt;
  };
  result.site = study::read_site(*document, text::Dialect::typed_by_people, {}, load, result.found);
  return result;
}

std::string with(const std::string& from, const std::string& to) {
  std::string changed = sample_site;
  const auto at = changed.find(from);
  REQUIRE(at != std::string::npos);
  return changed.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("a complete site file is read without a finding", "[study]") {
  const Reading reading = read(sample_site);
  INFO(reading.text());
  REQUIRE(reading.site);
  CHECK(reading.site->reference == "T-1");
  CHECK(reading.site->loads.size() == 1);
  CHECK(reading.site->loads[0].greatest_current_a == 40.0);
  CHECK(reading.site->loads[0].least_current_a == 0.0);
  CHECK_FALSE(reading.site->loads[0].stated_model.has_value());
  CHECK(reading.site->supply.highest_v == Approx(253.0));
  CHECK(reading.site->supply.lowest_v == Approx(216.2));
  CHECK(std::get<electrode::Rod>(reading.site->candidates[0].shape).diameter_m == Approx(0.016));
  CHECK(std::get<study::SoilFromReadings>(*reading.site->soil).sheet[0].readings.size() == 4);
}

TEST_CASE("each fault of a site file is reported with its place and how to mend it", "[study]") {
  struct Row {
    const char* from;
    const char* to;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {"greatest = \"40 A\"", "greatest = 40", "unit"},
      {"greatest = \"40 A\"", "greatest = \"40 V\"", "where a current is needed"},
      {"greatest = \"40 A\"", "greatest = \"0 A\"", "greater than 0"},
      {"greatest = \"40 A\"", "greatest = \"-3 A\"", "greater than 0"},
      {"greatest = \"40 A\"", "greatst = \"40 A\"", "did you mean 'greatest'"},
      {"greatest = \"40 A\"", "greatest = \"40 A\"\nleast = \"5 A\"", "a minimum load needs its evidence"},
      {"greatest = \"40 A\"", "greatest = \"40 A\"\nmodel = \"constant power\"", "needs its basis"},
      {"greatest = \"40 A\"", "greatest = \"40 A\"\nphase = \"2\"", "supply has one phase"},
      {"greatest = \"40 A\"", "greatest = \"40 A\"\nphase = \"L1\"", "phase: must be"},
      {"greatest = \"40 A\"", "greatest = \"40 A\"\npower_factor = 1.2", "power_factor"},
      {"greatest = \"40 A\"", "greatest = nan", "nan"},
      {"[break]", "[brake]", "did you mean 'break'"},
      {"length = \"2.4 m\"", "length = \"2.4 mm\"", "diameter"},
      {"length = \"2.4 m\"\n", "", "needs the key length"},
      {"shape = \"rod\"", "shape = \"rods\"", "rods in line"},
      {"factor = [1.1, 1.4]", "factor = [1.4, 1.1]", "factor"},
      {"factor = [1.1, 1.4]", "factor = 0.5", "at least 1"},
      {"files = [\"readings.csv\"]", "files = [\"missing.csv\"]",
       "cannot read the readings file \"missing.csv\""},
      {"files = [\"readings.csv\"]\narray = \"wenner\"", "word = \"cley\"", "did you mean \"clay\""},
      {"files = [\"readings.csv\"]\narray = \"wenner\"",
       "word = \"clay\"\nlayers = [{ resistivity = \"30 ohm m\" }]", "more than one source"},
      {"files = [\"readings.csv\"]\narray = \"wenner\"",
       "layers = [{ resistivity = \"30 ohm m\", thickness = \"0 m\" }, { resistivity = \"90 ohm m\" }]",
       "thickness"},
      {"files = [\"readings.csv\"]\narray = \"wenner\"",
       "layers = [{ resistivity = \"30 ohm m\" }, { resistivity = \"90 ohm m\" }]",
       "every layer but the last needs its thickness"},
      {"name = \"rod\"\n", "name = \"rod\"\nname = \"again\"\n", "name"},
      {"reference = \"T-1\"", "", "reference"},
  }));
  INFO(row.to);
  const Reading reading = read(with(row.from, row.to));
  INFO(reading.text());
  CHECK_FALSE(reading.site);
  REQUIRE(reading.found.has_errors());
  CHECK_THAT(reading.text(), Catch::Contains(row.says));
  const auto& all = reading.found.all();
  CHECK(std::any_of(all.begin(), all.end(), [](const Diagnostic& d) { return d.at.line > 0; }));
}

TEST_CASE("driven rods are read beside a sounding, and refused without one", "[study]") {
  const std::string rods = "\n[[soil.rods]]\nname = \"first\"\nlength = \"2.4 m\"\ndiameter = \"16 mm\"\n"
                           "resistance = \"38 ohm\"\nerror = 0.04\n";
  const Reading good = read(with("[season]", rods + "\n[season]"));
  INFO(good.text());
  REQUIRE(good.site);
  const auto& read_rods = std::get<study::SoilFromReadings>(*good.site->soil).rods;
  REQUIRE(read_rods.size() == 1);
  CHECK(read_rods[0].rod == "first");
  CHECK(read_rods[0].diameter_m == Approx(0.016));
  CHECK(read_rods[0].relative_error_ratio == 0.04);
  const Reading one_stake = read(with("[season]", rods + "current_stake = \"30 m\"\n\n[season]"));
  CHECK_THAT(one_stake.text(), Catch::Contains("potential_stake together"));
  const Reading beyond =
      read(with("[season]", rods + "current_stake = \"30 m\"\npotential_stake = \"40 m\"\n\n[season]"));
  CHECK_THAT(beyond.text(), Catch::Contains("between the rod and the current stake"));
  std::string of_word = with("files = [\"readings.csv\"]\narray = \"wenner\"", "word = \"clay\"");
  of_word.insert(of_word.find("[season]"), rods + "\n");
  CHECK_THAT(read(of_word).text(), Catch::Contains("joined with four-pole readings"));
}

TEST_CASE("all faults of the site file and of its field sheet come in one pass", "[study]") {
  std::string toml = with("greatest = \"40 A\"", "greatest = 40");
  toml.replace(toml.find("\"2.4 m\""), 7, "\"2.4 ohm\"");
  const Reading reading = read(toml, "a (m),R (ohm)\n1,15.9\n-2,7.96\n4,wet\n8,1.99\n");
  INFO(reading.text());
  const auto errors = std::count_if(reading.found.all().begin(), reading.found.all().end(),
                                    [](const Diagnostic& d) { return d.severity == Severity::error; });
  CHECK(errors >= 4);
  CHECK_THAT(reading.text(), Catch::Contains("readings.csv:3:1") && Catch::Contains("readings.csv:4:3"));
  CHECK_THAT(reading.text(), Catch::Contains("site.toml:11:"));
}

TEST_CASE("text that broke other readers is an error here, never the end of the process", "[study]") {
  for (const std::string& bad :
       {std::string("[,]"), std::string("[.soil]"), std::string("[#]"), std::string("[[[soil]]]"),
        std::string(200'000, 'a') + " = 1", std::string("\xCE\xA9 = 1"), std::string("a = \"\xFF\""),
        std::string("a\0b = 1", 7), std::string("[soil")}) {
    const Reading reading = read(bad);
    CHECK(reading.found.has_errors());
    CHECK_FALSE(reading.site);
  }
}

TEST_CASE("the reference of keys names every section, unit and default", "[study]") {
  const std::string keys = study::site_file_keys();
  for (const char* expected : {"[[loads]]", "[[candidates]]", "least_basis", "ohm m", "216.2",
                               "pme_disconnected", "stake_contact"}) {
    CHECK_THAT(keys, Catch::Contains(expected));
  }
}
