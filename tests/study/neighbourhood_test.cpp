// SPDX-License-Identifier: MIT
// What the site file says of metal near the electrode and of the vehicle, and what the study makes of it. All sites
// are invented.
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace {

using namespace ohmroot;

const std::string site_text = R"(reference = "T-5"
[soil]
layers_basis = "a test"
[[soil.layers]]
resistivity = "100 ohm m"
[[loads]]
name = "house"
greatest = "40 A"
[[candidates]]
name = "rod"
shape = "rod"
length = "2.4 m"
diameter = "16 mm"
places = [["5 m", "7 m"]]
)";

study::StudyResult studied(const std::string& toml) {
  Diagnostics found{"site.toml"};
  const auto document = text::read_toml(toml, found);
  REQUIRE(document);
  const auto none = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
  auto site = study::read_site(*document, text::Dialect::typed_by_people, {}, none, found);
  for (const Diagnostic& d : found.all())
    UNSCOPED_INFO(to_text(d));
  REQUIRE(site);
  return study::assess(*std::move(site));
}

std::string neighbour(const std::string& x, const std::string& connection) {
  return "[[nearby_metal]]\nname = \"neighbour's rod\"\nkind = \"rod\"\nplaces = [[\"" + x +
         "\", \"7 m\"]]\nlength = \"2.4 m\"\ndiameter = \"16 mm\"\nconnection = \"" + connection + "\"\n";
}

}  // namespace

TEST_CASE("a neighbour's rod joined to the electrode halves its resistance nearly, and spoils the test of it",
          "[study][nearby]") {
  const study::StudyResult result = studied(site_text + neighbour("25 m", "joined to the electrode"));
  REQUIRE(result.nearby);
  const study::NearbyFinding& found = *result.nearby;
  REQUIRE(found.refusal.empty());
  // Two equal rods far apart: (R + M) / 2, M = rho / (2 pi d) at the surface (potential theory).
  const double alone_ohm = found.alone_ohm.value;
  const double mutual_ohm = 100.0 / (2.0 * std::numbers::pi * 20.0);
  CHECK(found.together_ohm.value == Approx((alone_ohm + mutual_ohm) / 2.0).epsilon(0.01));
  CHECK(found.electrode_current_share_ratio == Approx(0.5).epsilon(0.01));
  CHECK(found.test_against_alone_ratio < -0.35);
  CHECK(found.finding.find("joined to it, carries") != std::string::npos);
  CHECK(found.finding.find("has to be parted") != std::string::npos);
  // The verdict counts the electrode alone.
  CHECK(result.candidates[0].electrode_ohm.value == Approx(alone_ohm).epsilon(2e-3));
}

TEST_CASE("a rod that floats takes the potential of the ground it stands in", "[study][nearby]") {
  const study::StudyResult result = studied(site_text + neighbour("25 m", "connected to nothing"));
  REQUIRE(result.nearby);
  const double alone_ohm = result.nearby->alone_ohm.value;
  CHECK(result.nearby->effects.at(0).potential_share_ratio ==
        Approx(100.0 / (2.0 * std::numbers::pi * 20.0) / alone_ohm).epsilon(0.02));
  CHECK(std::abs(result.nearby->test_against_alone_ratio) < 0.1);
  CHECK(result.nearby->finding.find("has to be parted") == std::string::npos);
}

TEST_CASE("metal in the place of the electrode is refused in words", "[study][nearby]") {
  const study::StudyResult result = studied(site_text + neighbour("5 m", "connected to nothing"));
  REQUIRE(result.nearby);
  CHECK_FALSE(result.nearby->refusal.empty());
}

TEST_CASE("touch voltage at the vehicle is that of the place farthest from the electrode",
          "[study][nearby]") {
  const std::string parking =
      "[parking]\nends = [[\"8 m\", \"7 m\"], [\"12 m\", \"7 m\"]]\nwidth = \"2 m\"\n";
  const study::StudyResult result = studied(site_text + parking);
  REQUIRE(result.vehicle_touch);
  REQUIRE(result.vehicle_touch->refusal.empty());
  CHECK(result.vehicle_touch->feet.x_m == Approx(13.0).margin(0.1));
  // Far from a rod the surface takes rho I / (2 pi r): 8 m off it is 2 m of a hemisphere (potential theory).
  const double rod_ohm = result.candidates[0].field->middle_ohm;
  const double share = 100.0 / (2.0 * std::numbers::pi * 8.0) / rod_ohm;
  CHECK(result.vehicle_touch->share_ratio == Approx(1.0 - share).margin(0.01));
  std::string nowhere = site_text + parking;
  nowhere.erase(nowhere.find("places = [[\"5 m\", \"7 m\"]]\n"),
                std::string("places = [[\"5 m\", \"7 m\"]]\n").size());
  CHECK_FALSE(studied(nowhere).vehicle_touch->refusal.empty());
}

TEST_CASE("a foundation's steel is judged as a mesh", "[study]") {
  std::string site = site_text.substr(0, site_text.find("[[candidates]]"));
  site += "[[candidates]]\nname = \"steel of the garage's slab\"\nshape = \"mesh\"\nlength = \"6 "
          "m\"\nbreadth = \"3 m\"\n"
          "meshes_along = 6\nmeshes_across = 3\ndiameter = \"8 mm\"\ndepth = \"0.4 m\"\n";
  const study::StudyResult result = studied(site);
  REQUIRE(result.candidates.size() == 1);
  REQUIRE(result.candidates[0].field);
  // Between the disc of its area deep in the soil and the one on the surface, and somewhat above: a mesh is no sheet.
  const double disc_ohm = 100.0 / 4.0 * std::sqrt(std::numbers::pi / 18.0);
  CHECK(result.candidates[0].electrode_ohm.value > 0.5 * disc_ohm);
  CHECK(result.candidates[0].electrode_ohm.value < 1.1 * disc_ohm);
  CHECK(result.leakage_curve);
  CHECK(result.surroundings);
}

TEST_CASE("a plate is judged by its surface, its surroundings by bars", "[study]") {
  std::string site = site_text.substr(0, site_text.find("[[candidates]]"));
  site += "[[candidates]]\nname = \"plate\"\nshape = \"plate\"\nlength = \"0.9 m\"\nbreadth = \"0.9 m\"\n"
          "depth = \"1.5 m\"\nupright = true\n";
  const study::StudyResult result = studied(site);
  REQUIRE(result.candidates.size() == 1);
  const electrode::RectangularPlate plate{0.9, 0.9, 1.5, electrode::PlateAttitude::vertical};
  CHECK(result.candidates[0].electrode_ohm.value ==
        Approx(electrode::plate_resistance(earth::LayeredSoil(100.0), plate).resistance_ohm));
  CHECK(result.leakage_curve);
  CHECK(result.surroundings);
  CHECK(result.candidates[0].field->method.find("boundary elements on the plate") == 0);
  CHECK_FALSE(result.heating);
  CHECK(std::any_of(result.assumptions.begin(), result.assumptions.end(), [](const std::string& line) {
    return line.find("How warm a plate gets") != std::string::npos;
  }));
}

TEST_CASE("a lying plate with next to no soil over it is refused at its place in the file", "[study]") {
  const std::string head = site_text.substr(0, site_text.find("[[candidates]]"));
  const auto found_for = [&](const std::string& depth) {
    Diagnostics found{"site.toml"};
    const auto document =
        text::read_toml(head +
                            "[[candidates]]\nname = \"plate\"\nshape = \"plate\"\nlength = \"0.9 m\"\n"
                            "breadth = \"0.6 m\"\ndepth = \"" +
                            depth + "\"\n",
                        found);
    REQUIRE(document);
    const auto none = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
    const auto site = study::read_site(*document, text::Dialect::typed_by_people, {}, none, found);
    CHECK(site.has_value() != found.has_errors());
    return found.all();
  };
  CHECK(found_for("40 mm").empty());
  const auto found = found_for("10 mm");
  REQUIRE(found.size() == 1);
  CHECK(found[0].message.find("only 10 mm deep") != std::string::npos);
  CHECK(found[0].at.line > 1);
}
