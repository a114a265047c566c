// SPDX-License-Identifier: MIT
// What the site file says of metal on the PME earth, and what the study makes of it. All sites are invented.
#include <ohmroot/routes/separation.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

namespace {

using namespace ohmroot;

constexpr const char* site_text = R"(reference = "T-2"
[soil]
layers_basis = "a test"
[[soil.layers]]
resistivity = ["40 ohm m", "160 ohm m"]
thickness = "1.5 m"
[[soil.layers]]
resistivity = "400 ohm m"
[[loads]]
name = "house"
greatest = "40 A"
[[candidates]]
name = "rod"
shape = "rod"
length = "2.4 m"
diameter = "16 mm"
[[candidates]]
name = "tape"
shape = "tape"
length = "10 m"
width = "25 mm"
depth = "0.6 m"
[[pme_metal]]
name = "water pipe"
kind = "pipe or sheath"
places = [["-20 m", "0 m"], ["20 m", "0 m"]]
diameter = "60 mm"
depth = "0.75 m"
[[metal_above]]
name = "lamp post"
places = [["3 m", "4 m"]]
[[metal_above]]
name = "fence"
places = [["-10 m", "-1 m"], ["10 m", "-1 m"]]
lowest = "0.1 m"
[parking]
ends = [["0 m", "3 m"], ["0 m", "8 m"]]
width = "2.5 m"
[tt_electrode]
places = [["4 m", "9 m"]]
)";

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

Reading read(const std::string& toml) {
  Reading result;
  const auto document = text::read_toml(toml, result.found);
  if (!document) return result;
  const auto none = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
  result.site = study::read_site(*document, text::Dialect::typed_by_people, {}, none, result.found);
  return result;
}

std::string with(const std::string& from, const std::string& to) {
  std::string changed = site_text;
  const auto at = changed.find(from);
  REQUIRE(at != std::string::npos);
  return changed.replace(at, from.size(), to);
}

study::StudyResult studied(const std::string& toml) {
  Reading reading = read(toml);
  INFO(reading.text());
  REQUIRE(reading.site);
  return study::assess(*std::move(reading.site));
}

}  // namespace

TEST_CASE("metal, parking and TT electrode are read", "[study][separation]") {
  const Reading reading = read(site_text);
  INFO(reading.text());
  REQUIRE(reading.site);
  const study::SeparationFacts& facts = reading.site->separation;
  REQUIRE(facts.pme_metal.size() == 1);
  CHECK(facts.pme_metal[0].kind == routes::MetalKind::line);
  CHECK(facts.pme_metal[0].places[1].x_m == 20.0);
  CHECK(facts.pme_metal[0].diameter_m == Approx(0.06));
  REQUIRE(facts.metal_above.size() == 2);
  CHECK(facts.metal_above[0].from.x_m == facts.metal_above[0].to.x_m);
  CHECK(facts.metal_above[1].lowest_m == Approx(0.1));
  CHECK(facts.parking->width_m == 2.5);
  CHECK(facts.parking->feet_reach_m == 1.0);
  CHECK(facts.parking->arms_reach_m == 2.5);
  CHECK(facts.tt_electrode->at.y_m == 9.0);
  CHECK_FALSE(facts.tt_electrode->direction_to);
}

TEST_CASE("every kind of metal is read", "[study][separation]") {
  const std::string more = std::string(site_text) + R"([[pme_metal]]
name = "rod"
kind = "rod"
places = [["30 m", "0 m"]]
length = "1.2 m"
diameter = "9 mm"
[[pme_metal]]
name = "tape"
kind = "tape"
places = [["40 m", "0 m"], ["40 m", "12 m"]]
width = "25 mm"
depth = "0.6 m"
[[pme_metal]]
name = "plate"
kind = "plate"
places = [["50 m", "0 m"], ["50 m", "0.9 m"]]
width = "0.6 m"
depth = "1 m"
upright = true
)";
  const Reading reading = read(more);
  INFO(reading.text());
  REQUIRE(reading.site);
  const auto& metal = reading.site->separation.pme_metal;
  REQUIRE(metal.size() == 4);
  CHECK(metal[1].kind == routes::MetalKind::rod);
  CHECK(metal[2].kind == routes::MetalKind::tape);
  CHECK(metal[3].kind == routes::MetalKind::plate);
  CHECK(metal[3].is_upright);
}

TEST_CASE("each fault of the separation keys is told with its place", "[study][separation]") {
  struct Row {
    const char* from;
    const char* to;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {"kind = \"pipe or sheath\"\n", "", "kind"},
      {"kind = \"pipe or sheath\"", "kind = \"pipe\"", "pipe or sheath"},
      {"kind = \"pipe or sheath\"", "kind = \"rod\"", "a rod has one place"},
      {"diameter = \"60 mm\"\n", "", "needs the key diameter"},
      {"diameter = \"60 mm\"", "diameter = \"60 mm\"\nwidth = \"3 mm\"", "has no width"},
      {"diameter = \"60 mm\"", "diameter = \"60 mm\"\nlength = \"3 m\"",
       "its length is that between its places"},
      {"diameter = \"60 mm\"", "diameter = \"60 mm\"\nupright = true", "only a plate stands or lies"},
      {"depth = \"0.75 m\"", "depth = \"0.02 m\"", "wholly below the surface"},
      {"depth = \"0.75 m\"", "depht = \"0.75 m\"", "did you mean 'depth'"},
      {"places = [[\"-20 m\", \"0 m\"], [\"20 m\", \"0 m\"]]", "places = [[\"-20 m\", \"0 m\"]]",
       "1 place is given"},
      {"places = [[\"-20 m\", \"0 m\"], [\"20 m\", \"0 m\"]]",
       "places = [[\"-20 m\", \"0 m\"], [\"-20 m\", \"0 m\"]]", "a length greater than its diameter"},
      {"places = [[\"3 m\", \"4 m\"]]", "places = []", "places"},
      {"ends = [[\"0 m\", \"3 m\"], [\"0 m\", \"8 m\"]]", "ends = [[\"0 m\", \"3 m\"]]",
       "both ends of the middle line"},
      {"width = \"2.5 m\"", "width = \"-2.5 m\"", "width"},
      {"places = [[\"4 m\", \"9 m\"]]", "places = [[\"4 m\", \"9 m\"]]\ncandidate = \"tpae\"",
       "did you mean \"tape\""},
  }));
  const Reading reading = read(with(row.from, row.to));
  INFO(row.to << "\n" << reading.text());
  CHECK_FALSE(reading.site);
  CHECK_THAT(reading.text(), Catch::Contains(row.says));
  const auto& all = reading.found.all();
  CHECK(std::all_of(all.begin(), all.end(), [](const Diagnostic& d) { return d.at.line > 0; }));
}

TEST_CASE("arm's reach without a parking place is a fault", "[study][separation]") {
  const Reading reading =
      read(with("[parking]\nends = [[\"0 m\", \"3 m\"], [\"0 m\", \"8 m\"]]\nwidth = \"2.5 m\"\n", ""));
  CHECK_THAT(reading.text(), Catch::Contains("metal_above but no [parking]"));
}

TEST_CASE("the study prints what is transferred, at the voltage of the open PEN", "[study][separation]") {
  const study::StudyResult result = studied(site_text);
  REQUIRE(result.separation);
  const study::SeparationResult& found = *result.separation;
  CHECK(found.refusal.empty());
  // One phase and no way to earth: the whole voltage of the source stands on the MET.
  CHECK(found.metal_v == Approx(253.0));
  REQUIRE(found.transfer);
  CHECK(*found.transfer->nearest_m == Approx(9.0));
  // The numbers are those of the routes room in the middle soil.
  const routes::SeparationCase given{result.candidates[*result.governing_candidate].field->middle_soil,
                                     {routes::line_metal("pipe", {{-20.0, 0.0}, {20.0, 0.0}}, {0.06, 0.75})},
                                     253.0,
                                     routes::TtElectrode{electrode::Rod{2.4, 0.016}, {{4.0, 9.0}}},
                                     routes::Parking{{{0.0, 5.5}, 5.0, 2.5, 90.0}}};
  const routes::Transfer again = routes::transfer(given);
  CHECK(found.transfer->electrode_share_ratio->value ==
        Approx(again.electrode_share_ratio->value).epsilon(1e-12));
  CHECK(found.transfer->most_at_feet->share_ratio.value == Approx(again.most_at_feet->share_ratio.value));
  // Layers stated as an interval widen the share's.
  CHECK(found.electrode_share_ratio->greatest - found.electrode_share_ratio->least >
        again.electrode_share_ratio->greatest - again.electrode_share_ratio->least);
  CHECK(found.electrode_share_ratio->least <= found.electrode_share_ratio->value);
  CHECK(found.electrode_share_ratio->value <= found.electrode_share_ratio->greatest);

  REQUIRE(found.curve);
  CHECK(found.curve->is_layered);
  CHECK(found.curve->level_ratio == Approx(50.0 / 253.0));
  REQUIRE(found.curve->at_level);
  CHECK(std::is_sorted(found.curve->share_ratio.rbegin(), found.curve->share_ratio.rend()));
  for (std::size_t i = 0; i < found.curve->distance_m.size();
       ++i)  // the table of one rod is not on the safe side
    CHECK(found.curve->share_ratio[i] > found.curve->rod_table_share_ratio[i]);

  REQUIRE(found.reach.size() == 2);
  CHECK(found.reach[0].is_within);        // 3 - 1.25 m
  CHECK_FALSE(found.reach[1].is_within);  // 4 m

  // The TT route knows its distance now, and still asks the distributor.
  const auto tt = std::find_if(result.methods.begin(), result.methods.end(),
                               [](const auto& record) { return record.method == routes::Method::tt_island; });
  CHECK_THAT(tt->finding, Catch::Contains("separation in the ground from metal on the PME earth: 9 m"));
  CHECK_THAT(tt->finding, Catch::Contains("within arm's reach of where the vehicle can stand: lamp post"));
  CHECK(tt->support == routes::Support::contradicts);
}

TEST_CASE("a named candidate gives the TT electrode its shape and a second place its direction",
          "[study][separation]") {
  const study::StudyResult result =
      studied(with("places = [[\"4 m\", \"9 m\"]]",
                   "places = [[\"4 m\", \"9 m\"], [\"4 m\", \"8 m\"]]\ncandidate = \"tape\""));
  CHECK(*result.separation->transfer->nearest_m ==
        Approx(0.0).margin(1e-9));  // 10 m of tape, over the pipe 9 m off
}

TEST_CASE("an electrode that touches the metal is told, not computed", "[study][separation]") {
  const study::StudyResult result =
      studied(with("places = [[\"4 m\", \"9 m\"]]", "places = [[\"4 m\", \"0 m\"]]"));
  CHECK_THAT(result.separation->refusal, Catch::Contains("touch"));
  CHECK_FALSE(result.separation->transfer);
  CHECK_FALSE(result.separation->electrode_share_ratio);
  CHECK(result.separation->reach.size() == 2);
}

TEST_CASE("a site that states no metal has no separation", "[study][separation]") {
  std::string plain = site_text;
  plain.erase(plain.find("[[pme_metal]]"));
  CHECK_FALSE(studied(plain).separation);
}
