// SPDX-License-Identifier: MIT
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <complex>
#include <limits>
#include <string>

using namespace ohmroot;

namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

study::Site site_on(std::vector<study::StatedLayer> layers) {
  study::Site site;
  site.reference = std::string("T");  // assigned as text it trips a false warning of gcc 12
  site.soil = study::SoilFromLayers{std::move(layers), "a test"};
  site.season = study::FactorInterval{1.0, 1.0, "a test"};
  supply::Load load;
  load.name = "load";
  load.greatest_current_a = 10.0;
  site.loads = {load};
  site.break_position = study::BreakPosition::own_service;
  site.break_reason = "a test";
  site.candidates = {{"rod", electrode::Rod{2.4, 0.016}}};
  return site;
}

std::string problems_of(const std::string& soil_lines) {
  Diagnostics found("site.toml");
  std::string toml = "reference = \"T\"\n[soil]\nword = \"clay\"\n";
  toml += soil_lines;  // not +: its code trips a false warning of gcc 12
  const auto document = text::read_toml(toml, found);
  REQUIRE(document);
  (void)study::read_site(
      *document, text::Dialect::typed_by_people, {.soil = true, .loads = false, .candidates = false},
      [](const std::string&) { return std::optional<std::string>(); }, found);
  std::string all;
  for (const Diagnostic& d : found.all())
    all += to_text(d) + "\n";
  return all;
}

}  // namespace

TEST_CASE("the electrode over time: bound by hand, curve below it, time to dry on the curve",
          "[study][heating]") {
  study::Site site = site_on({{20.0, 20.0, unlimited}});
  site.warmth = {1.2, 2.5e6, 15.0, 50.0, true};
  const study::StudyResult result = study::assess(std::move(site));
  REQUIRE(result.heating);
  const study::HeatingResult& heating = *result.heating;
  // the voltage is that of the circuit, the bound U^2 / (2 rho lambda), the current U / R (40 ohm in 100 ohm m)
  CHECK(heating.voltage_v == Approx(std::abs(result.candidates[0].state_at_value->met_v)));
  CHECK(heating.steady_rise_k == Approx(heating.voltage_v * heating.voltage_v / (2 * 20.0 * 1.2)));
  CHECK(heating.current_a == Approx(heating.voltage_v / (0.2 * 39.99)).epsilon(2e-3));
  REQUIRE(heating.parts.size() == 1);
  const study::HeatedPart& rod = heating.parts.front();
  CHECK(rod.current_a_per_m * 2.4 == Approx(heating.current_a).epsilon(2e-3));
  for (std::size_t i = 1; i < rod.rise_k.size(); ++i) {
    CHECK(rod.rise_k[i] >= rod.rise_k[i - 1]);
    CHECK(rod.rise_k[i] <= heating.steady_rise_k);
  }
  REQUIRE(rod.dries_after_s);
  REQUIRE(heating.steady_rise_k > 35.0);
  REQUIRE(heating.duties.size() == 4);
  // by hand for 1 s: 1000 sqrt(57.7 / 20) A/m2 on the skin of the rod
  CHECK(heating.duties[1].time_s == 1.0);
  CHECK(heating.duties[1].current_a == Approx(1698.5 * 2.4 * 3.14159 * 0.016).epsilon(3e-3));
}

TEST_CASE("metal in two layers is two parts, and the bound rests on the layer that conducts best",
          "[study][heating]") {
  const study::StudyResult result = study::assess(site_on({{100.0, 100.0, 1.0}, {20.0, 20.0, unlimited}}));
  REQUIRE(result.heating);
  const study::HeatingResult& heating = *result.heating;
  CHECK(heating.least_resistivity_ohm_m == 20.0);
  REQUIRE(heating.parts.size() == 2);
  double current_a = 0.0;
  for (const study::HeatedPart& part : heating.parts)
    current_a += part.current_a_per_m * (part.resistivity_ohm_m == 20.0 ? 1.4 : 1.0);
  CHECK(current_a == Approx(heating.current_a).epsilon(3e-3));
  CHECK(heating.parts.front().resistivity_ohm_m == 20.0);  // the current leaves there
}

TEST_CASE("cool metal is told to stay below the drying temperature for ever", "[study][heating]") {
  const study::StudyResult result = study::assess(site_on({{500.0, 500.0, unlimited}}));
  REQUIRE(result.heating);
  CHECK_FALSE(result.heating->parts.front().boils_after_s);
  if (result.heating->steady_rise_k < 35.0)
    CHECK(result.heating->finding.find("stays below") != std::string::npos);
}

TEST_CASE("keys of the soil's warmth are read with their units, and checked against each other",
          "[study][heating]") {
  CHECK(problems_of("thermal_conductivity = \"1.2 W/(m K)\"\nheat_capacity = \"2.5 MJ/(m3 K)\"\n"
                    "ground_temperature = \"-2 degC\"\ndrying_temperature = \"60 degC\"\n") == "");
  CHECK(problems_of("ground_temperature = \"30 degC\"\ndrying_temperature = \"25 degC\"\n")
            .find("drying_temperature") != std::string::npos);
  CHECK(problems_of("heat_capacity = \"2.5 W/(m K)\"\n").find("thermal conductivity") != std::string::npos);
}
