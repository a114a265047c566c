// SPDX-License-Identifier: MIT
#include <ohmroot/core/version.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>
#include <support/study_fixture.hpp>

using namespace ohmroot;
using text::Value;

namespace {

Value read_back(const Value& document) {
  Diagnostics diagnostics("results.json");
  const auto read = text::read_json(text::write_json(document), diagnostics);
  REQUIRE(read);
  return *read;
}

const Value& at(const Value& document, std::initializer_list<const char*> path) {
  const Value* node = &document;
  for (const char* key : path) {
    INFO(key);
    node = node->find(key);
    REQUIRE(node != nullptr);
  }
  return *node;
}

/// Keys of numbers that carry no unit suffix although they are numbers.
void collect_bare_numbers(const Value& node, const std::string& key, std::vector<std::string>& found) {
  const std::vector<std::string> endings{"_ohm",   "_ohm_m", "_m", "_v", "_a",    "_w",         "_ratio",
                                         "_per_m", "_count", "_s", "_k", "_degc", "_j_per_m3_k"};
  if (node.is_number()) {
    const bool has_unit = std::any_of(endings.begin(), endings.end(), [&](const std::string& ending) {
      return key.size() > ending.size() &&
             key.compare(key.size() - ending.size(), ending.size(), ending) == 0;
    });
    if (!has_unit) found.push_back(key);
  }
  if (node.is_array())
    for (const Value& element : node.array())
      collect_bare_numbers(element, key, found);
  if (node.is_object())
    for (const auto& [name, value] : node.object())
      collect_bare_numbers(value, name, found);
}

/// The site as the reader understands what was written.
study::Site site_read_back(const study::Site& site) {
  Diagnostics diagnostics("input.json");
  const auto read = study::read_site(
      read_back(report::site_document(site)), text::Dialect::sent_by_programs,
      {.soil = false, .loads = false, .candidates = false},
      [](const std::string&) { return std::optional<std::string>(); }, diagnostics);
  for (const Diagnostic& found : diagnostics.all())
    UNSCOPED_INFO(to_text(found));
  REQUIRE(read);
  return *read;
}

}  // namespace

TEST_CASE("results hold the verdict, the version and what a program needs first", "[report]") {
  const Value document = read_back(report::study_document(test_support::not_feasible_study()));
  CHECK(at(document, {"schema_version"}).number() == 1);
  CHECK(at(document, {"program_version"}).text() == version);
  CHECK(at(document, {"verdict"}).text() == "not feasible");
  CHECK(at(document, {"exit_code"}).number() == 1);
  CHECK(at(document, {"governing_candidate"}).text() == "one rod");
  CHECK(at(document, {"requirements", "strictest"}).text() == "constant power");
  CHECK(at(document, {"requirements", "most_lenient"}).text() == "constant impedance");
  const Value& rod = at(document, {"candidates"}).array().at(0);
  CHECK(at(rod, {"to_earth", "least_ohm"}).number() == 14.6);
  CHECK(at(rod, {"to_earth", "basis"}).text() ==
        "electrode times season 1 to 1.3, plus 20 mohm of earthing conductor");
  CHECK(at(rod, {"open_pen_state", "met_v"}).number() == Approx(253 * 37.8 / (37.8 + 230.0 / 32)));
  CHECK(at(document, {"open_pen_without_electrode", "met_v"}).number() == 253);
  CHECK(at(document, {"tt", "devices"}).array().size() == 4);
  CHECK(at(document, {"routes"}).array().size() == 3);
  CHECK(at(document, {"cautions"}).array().size() == 3);
  CHECK(at(document, {"warnings"}).array().at(0).find("line")->number() == 15);
  CHECK(at(document, {"input", "reference"}).text() == "DEMO-01");
  CHECK(at(document, {"input_files"}).array().at(0).text() == "north-east.csv");
  CHECK(at(document, {"soil", "readings"}).array().size() == 9);
  CHECK(at(document, {"soil", "skipped_rows"}).array().at(1).find("above_ohm")->number() == 1999);
}

TEST_CASE("every number in the results carries its unit, but for counting and numbering", "[report]") {
  for (const bool is_first : {true, false}) {
    auto result = is_first ? test_support::not_feasible_study() : test_support::feasible_study();
    if (is_first) result.separation = test_support::invented_separation();
    std::vector<std::string> bare;
    collect_bare_numbers(report::study_document(result), "", bare);
    const std::set<std::string> counting{"schema_version", "exit_code", "seed",   "line",         "column",
                                         "sheet_line",     "rods",      "phases", "rods_per_side"};
    for (const std::string& key : bare) {
      INFO(key);
      CHECK(counting.count(key) == 1);
    }
  }
}

TEST_CASE("what has no value is null, with the reason beside it", "[report]") {
  auto result = test_support::not_feasible_study();
  result.candidates[0].is_greatest_resolved = false;
  result.candidates[0].to_earth_ohm.greatest = std::numeric_limits<double>::infinity();
  result.soil.is_greatest_resolved = false;
  result.soil.interpretation->fits[1].resistivity_ohm_m[1].is_greatest_resolved = false;
  result.soil.interpretation->fits[0].corrected_aic_ratio = std::numeric_limits<double>::infinity();
  result.requirements[1].outcome = supply::RequirementOutcome::none_needed;
  result.state_without_electrode->status = supply::OpenPenStatus::no_operating_point;
  const Value document = read_back(report::study_document(result));
  const Value& to_earth = at(document, {"candidates"}).array().at(0);
  CHECK(at(to_earth, {"to_earth", "greatest_ohm"}).is_null());
  CHECK_FALSE(at(to_earth, {"to_earth", "greatest_reason"}).text().empty());
  CHECK(at(document, {"soil", "greatest_resistivity_ohm_m"}).is_null());
  CHECK_FALSE(at(document, {"soil", "greatest_resistivity_reason"}).text().empty());
  const Value& fits = at(document, {"soil", "interpretation", "fits"});
  const Value& lower = at(fits.array().at(1), {"resistivity"}).array().at(1);
  CHECK(at(lower, {"least_ohm_m"}).number() == 36);
  CHECK(at(lower, {"greatest_ohm_m"}).is_null());
  CHECK(at(lower, {"value_ohm_m"}).is_null());
  CHECK(at(fits.array().at(0), {"corrected_aic_ratio"}).is_null());
  const Value& current = at(document, {"requirements", "by_model"}).array().at(1);
  CHECK(at(current, {"resistance_ohm"}).is_null());
  CHECK(at(current, {"resistance_reason"}).text() == "no electrode needed");
  CHECK(at(document, {"open_pen_without_electrode", "met_v"}).is_null());
  // The fixture's first point has no state without an electrode.
  CHECK(at(document, {"curves", "voltage", "without_electrode_v"}).array().at(0).is_null());
}

TEST_CASE("results of a study without anything are still a document", "[report]") {
  const Value document = read_back(report::study_document(test_support::empty_study()));
  CHECK(at(document, {"verdict"}).text() == "cannot be decided");
  CHECK(at(document, {"governing_candidate"}).is_null());
  CHECK(at(document, {"candidates"}).is_array());
  CHECK(at(document, {"curves"}).is_object());
}

TEST_CASE("the input in the results reads back as the same site", "[report]") {
  auto first = test_support::not_feasible_study();
  auto& schlumberger = std::get<study::SoilFromReadings>(*first.site.soil).sheet[0].readings[3];
  schlumberger.array = sounding::Array::schlumberger;
  schlumberger.half_current_spacing_m = 4;
  schlumberger.half_potential_spacing_m = 0.4;
  schlumberger.contact = sounding::StakeContact::insulated;
  const study::Site site = site_read_back(first.site);
  CHECK(site.reference == "DEMO-01");
  CHECK(site.is_invented);
  CHECK(site.edition == first.site.edition);
  CHECK(site.seed == 7);
  CHECK(site.break_position == study::BreakPosition::own_service);
  CHECK(site.break_reason == first.site.break_reason);
  CHECK(site.season->greatest_ratio == 1.3);
  CHECK(site.month_of_measurement == "March");
  CHECK(site.land->corners.size() == 4);
  CHECK(site.land->corners[2].y_m == 8);
  CHECK(site.land->drivable_depth_m == 3);
  CHECK(site.loads[0].greatest_current_a == 32);
  CHECK(site.loads[0].current_ceiling_a == 32);
  CHECK(site.loads[0].charge_point == supply::ChargePoint::alone);
  CHECK(site.other_paths[0].resistance_ohm == 12);
  CHECK_FALSE(site.other_paths[0].is_relied_on);
  CHECK(site.earthing_conductor_ohm == 0.02);
  CHECK(site.limit_basis == first.site.limit_basis);
  CHECK(std::get<electrode::Rod>(site.candidates[0].shape).length_m == 2.4);
  const auto& before = std::get<study::SoilFromReadings>(*first.site.soil).sheet[0].readings;
  const auto& after = std::get<study::SoilFromReadings>(*site.soil).sheet[0].readings;
  REQUIRE(after.size() == before.size());
  // Rows that gave no reading can keep a verdict from being given: they belong to the input.
  const auto& skipped = std::get<study::SoilFromReadings>(*site.soil).sheet[0].skipped;
  REQUIRE(skipped.size() == 2);
  CHECK(skipped[0].line == 14);
  CHECK(skipped[1].is_over_range);
  CHECK(skipped[1].over_range_above_ohm == 1999);
  for (std::size_t i = 0; i < before.size(); ++i) {
    CHECK(after[i].array == before[i].array);
    CHECK(after[i].half_current_spacing_m == before[i].half_current_spacing_m);
    CHECK(after[i].half_potential_spacing_m == before[i].half_potential_spacing_m);
    CHECK(after[i].resistance_ohm == before[i].resistance_ohm);
    CHECK(after[i].driven_depth_m == before[i].driven_depth_m);
    CHECK(after[i].contact == before[i].contact);
    CHECK(after[i].relative_error_ratio == before[i].relative_error_ratio);
    CHECK(after[i].traverse == before[i].traverse);
    CHECK(after[i].sheet_line == before[i].sheet_line);
  }
}

TEST_CASE("three phases, stated layers and load models read back too", "[report]") {
  const auto second = test_support::feasible_study();
  const study::Site site = site_read_back(second.site);
  CHECK(site.supply.phase_count == 3);
  REQUIRE(site.loads.size() == 3);
  CHECK(site.loads[0].greatest_current_a == 60);
  CHECK(site.loads[2].phase == 3);
  CHECK(site.loads[1].least_current_a == 30);
  CHECK(site.loads[1].stated_model == supply::LoadModel::constant_impedance);
  CHECK(site.loads[1].minimum_basis == "two weeks of logging");
  const auto& layers = std::get<study::SoilFromLayers>(*site.soil);
  CHECK(layers.basis == "borehole log");
  REQUIRE(layers.layers.size() == 2);
  CHECK(layers.layers[0].greatest_resistivity_ohm_m == 80);
  CHECK(layers.layers[0].thickness_m == 2.5);
  CHECK(std::isinf(layers.layers[1].thickness_m));
  CHECK(std::get<electrode::RodLine>(site.candidates[0].shape).rod_count == 6);
}

TEST_CASE("every soil source, shape and measured electrode reads back", "[report]") {
  study::Site site;
  site.reference = "SHAPES";
  site.measured = study::MeasuredElectrode{"old rod", 21.5, 0.08, "fall of potential", "2026-05-04", true};
  site.candidates = {{"square", electrode::RodSquare{{2.4, 0.016}, 4, 3.0}},
                     {"triangle", electrode::RodTriangle{{1.8, 0.014}, 2.0}},
                     {"tape", electrode::Tape{20.0, 0.025, 0.6, 0.003}},
                     {"wire", electrode::RoundConductor{15.0, 0.008, 0.5}},
                     {"ring", electrode::Ring{6.0, 0.01, 0.7}}};
  site.supply.is_sequence_reversed = true;
  site.supply.source_earth_ohm = 1.5;
  site.soil = study::SoilFromRod{{1.2, 0.016}, 66.5, 0.04};
  study::Site read = site_read_back(site);
  CHECK(std::get<study::SoilFromRod>(*read.soil).resistance_ohm == 66.5);
  CHECK(std::get<study::SoilFromRod>(*read.soil).relative_error_ratio == 0.04);
  CHECK(read.measured->resistance_ohm == 21.5);
  CHECK(read.measured->was_pme_disconnected);
  CHECK(read.measured->date == "2026-05-04");
  CHECK(read.supply.is_sequence_reversed);
  CHECK(read.supply.source_earth_ohm == 1.5);
  REQUIRE(read.candidates.size() == 5);
  CHECK(std::get<electrode::RodSquare>(read.candidates[0].shape).rods_per_side == 4);
  CHECK(std::get<electrode::RodTriangle>(read.candidates[1].shape).spacing_m == 2.0);
  CHECK(std::get<electrode::Tape>(read.candidates[2].shape).width_m == 0.025);
  CHECK(std::get<electrode::Tape>(read.candidates[2].shape).thickness_m == 0.003);
  CHECK(std::get<electrode::RoundConductor>(read.candidates[3].shape).depth_m == 0.5);
  CHECK(std::get<electrode::Ring>(read.candidates[4].shape).conductor_diameter_m == 0.01);
  site.soil = study::SoilFromWord{"clay"};
  CHECK(std::get<study::SoilFromWord>(*site_read_back(site).soil).word == "clay");
}

TEST_CASE("the results say what is transferred", "[report][separation]") {
  auto result = test_support::not_feasible_study();
  result.separation = test_support::invented_separation();
  const Value document = read_back(report::study_document(result));
  CHECK(at(document, {"separation", "metal_v"}).number() == 200);
  CHECK(at(document, {"separation", "electrode_share", "value_ratio"}).number() == 0.31);
  CHECK(at(document, {"separation", "transfer", "touch_on_tt", "value_v"}).number() == 40);
  CHECK(at(document, {"separation", "transfer", "most_at_feet", "place_m"}).array().at(1).number() == 2);
  CHECK(at(document, {"separation", "curve", "level_distance_m"}).number() == 5.5);
  CHECK(at(document, {"separation", "arms_reach"}).array().size() == 1);
  result.separation->curve->at_level->status = routes::DistanceStatus::not_within;
  const Value without = read_back(report::study_document(result));
  CHECK(at(without, {"separation", "curve", "level_distance_m"}).is_null());
  CHECK_FALSE(at(without, {"separation", "curve", "level_distance_reason"}).text().empty());
}

TEST_CASE("what was stated of the separation reads back", "[report][separation]") {
  study::Site site = test_support::not_feasible_study().site;
  site.separation.pme_metal = {
      {"rod", routes::MetalKind::rod, {{1.5, -2.0}}, 2.4, 0.016, 0.0, 0.0, false},
      {"tape", routes::MetalKind::tape, {{0.0, 9.0}, {10.0, 9.5}}, 0.0, 0.0, 0.025, 0.6, false},
      {"plate", routes::MetalKind::plate, {{30.0, 0.0}, {30.9, 0.0}}, 0.0, 0.0, 0.6, 1.0, true},
      {"pipe", routes::MetalKind::line, {{-20.0, 4.0}, {0.0, 4.0}, {5.0, 20.0}}, 0.0, 0.1, 0.0, 0.75, false}};
  site.separation.nearby_metal = {
      {{"neighbour", routes::MetalKind::rod, {{12.0, 3.0}}, 1.2, 0.009, 0.0, 0.0, false},
       electrode::Connection::earthed}};
  site.candidates.front().at = electrode::SurfacePlace{1.0, 2.0};
  site.candidates.front().direction_to = electrode::SurfacePlace{1.0, 9.0};
  site.candidates.push_back({"slab", electrode::Mesh{{6.0, 6}, {3.0, 2}, 0.4, 0.004}});
  site.candidates.push_back(
      {"plate", electrode::RectangularPlate{0.9, 0.6, 1.2, electrode::PlateAttitude::vertical}});
  site.separation.metal_above = {{"post", {3.0, 4.0}, {3.0, 4.0}, 0.0},
                                 {"eaves", {0.0, 1.0}, {9.0, 1.0}, 2.6}};
  site.separation.parking = study::StatedParking{{0.0, 1.0}, {5.0, 1.5}, 2.4, 0.8, 2.0};
  site.separation.tt_electrode =
      study::TtPlace{{7.0, 7.0}, electrode::SurfacePlace{8.0, 9.0}, site.candidates.front().name};
  const study::Site whole = site_read_back(site);
  CHECK(whole.candidates.front().at->y_m == 2.0);
  CHECK(whole.candidates.front().direction_to->y_m == 9.0);
  const auto slab = std::get<electrode::Mesh>(whole.candidates.at(whole.candidates.size() - 2).shape);
  const auto plate = std::get<electrode::RectangularPlate>(whole.candidates.back().shape);
  CHECK(plate.width_m == 0.6);
  CHECK(plate.attitude == electrode::PlateAttitude::vertical);
  CHECK(slab.along_x.mesh_count == 6);
  CHECK(slab.along_y.length_m == 3.0);
  CHECK(slab.radius_m == Approx(0.004));
  const study::SeparationFacts& read = whole.separation;
  REQUIRE(read.nearby_metal.size() == 1);
  CHECK(read.nearby_metal[0].metal.length_m == 1.2);
  CHECK(read.nearby_metal[0].connection == electrode::Connection::earthed);
  const study::SeparationFacts& given = site.separation;
  REQUIRE(read.pme_metal.size() == given.pme_metal.size());
  for (std::size_t i = 0; i < given.pme_metal.size(); ++i) {
    CHECK(read.pme_metal[i].name == given.pme_metal[i].name);
    CHECK(read.pme_metal[i].kind == given.pme_metal[i].kind);
    CHECK(read.pme_metal[i].length_m == given.pme_metal[i].length_m);
    CHECK(read.pme_metal[i].diameter_m == given.pme_metal[i].diameter_m);
    CHECK(read.pme_metal[i].width_m == given.pme_metal[i].width_m);
    CHECK(read.pme_metal[i].depth_m == given.pme_metal[i].depth_m);
    CHECK(read.pme_metal[i].is_upright == given.pme_metal[i].is_upright);
    REQUIRE(read.pme_metal[i].places.size() == given.pme_metal[i].places.size());
    CHECK(read.pme_metal[i].places.back().x_m == given.pme_metal[i].places.back().x_m);
    CHECK(read.pme_metal[i].places.back().y_m == given.pme_metal[i].places.back().y_m);
  }
  REQUIRE(read.metal_above.size() == 2);
  CHECK(read.metal_above[0].to.y_m == 4.0);
  CHECK(read.metal_above[1].to.x_m == 9.0);
  CHECK(read.metal_above[1].lowest_m == 2.6);
  CHECK(read.parking->to.y_m == 1.5);
  CHECK(read.parking->width_m == 2.4);
  CHECK(read.parking->feet_reach_m == 0.8);
  CHECK(read.parking->arms_reach_m == 2.0);
  CHECK(read.tt_electrode->direction_to->y_m == 9.0);
  CHECK(read.tt_electrode->candidate == site.candidates.front().name);
}

TEST_CASE("readings of every array, with repeats, both ways and bounds, write and read back", "[report]") {
  using namespace sounding;
  study::StudyResult first = test_support::not_feasible_study();
  auto& sheet = std::get<study::SoilFromReadings>(*first.site.soil).sheet[0];
  sheet.readings = {wenner_reading(3.0, 10.0), wenner_reading_of(Array::wenner_beta, 0.7, 3.3),
                    wenner_reading_of(Array::wenner_gamma, 1.1, 6.7), dipole_dipole_reading({2.0, 6.0}, 0.5),
                    four_point_reading({{0, 0}, {0, 4}, {4, 0}, {4, 4}}, 0.5)};
  sheet.readings[0].repeats_ohm = {9.0, 11.0};
  sheet.readings[1].polarity = PolarityPair{3.4, 3.2};
  sheet.readings[2].contact_ohm = 900.0;
  sheet.bounds = {wenner_reading(20.0, 2000.0)};
  sheet.bounds[0].is_lower_bound = true;
  const study::Site read = site_read_back(first.site);
  const auto& after = std::get<study::SoilFromReadings>(*read.soil).sheet.at(0);
  REQUIRE(after.readings.size() == 5);
  for (std::size_t i = 0; i < 5; ++i) {
    CHECK(after.readings[i].array == sheet.readings[i].array);
    CHECK(geometric_factor_m(after.readings[i]) == geometric_factor_m(sheet.readings[i]));
    CHECK(after.readings[i].resistance_ohm == sheet.readings[i].resistance_ohm);
  }
  CHECK(after.readings[0].repeats_ohm == sheet.readings[0].repeats_ohm);
  REQUIRE(after.readings[1].polarity);
  CHECK(after.readings[1].polarity->reversed_ohm == 3.2);
  CHECK(after.readings[2].contact_ohm == 900.0);
  REQUIRE(after.bounds.size() == 1);
  CHECK(after.bounds[0].resistance_ohm == 2000.0);
}

TEST_CASE("any site of readings writes and reads back bit by bit", "[report][property]") {
  std::mt19937_64 random(20);
  const auto between = [&](double least, double greatest) {
    return std::exp(std::uniform_real_distribution(std::log(least), std::log(greatest))(random));
  };
  for (int draw = 0; draw < 200; ++draw) {
    study::Site site;
    site.reference = "draw " + std::to_string(draw);
    study::SoilFromReadings source{{"x.csv"}, {{}}};
    const double spacing_m = between(0.1, 100);
    source.sheet[0].readings = {sounding::wenner_reading(spacing_m, between(1e-3, 1e4))};
    source.sheet[0].readings[0].relative_error_ratio = between(0.001, 1);
    site.soil = source;
    site.candidates = {{"rod", electrode::Rod{between(0.5, 50), between(0.001, 0.1)}}};
    const study::Site read = site_read_back(site);
    const auto& before = source.sheet[0].readings[0];
    const auto& after = std::get<study::SoilFromReadings>(*read.soil).sheet[0].readings.at(0);
    CHECK(after.half_current_spacing_m == before.half_current_spacing_m);
    CHECK(after.resistance_ohm == before.resistance_ohm);
    CHECK(after.relative_error_ratio == before.relative_error_ratio);
    CHECK(std::get<electrode::Rod>(read.candidates[0].shape).length_m ==
          std::get<electrode::Rod>(site.candidates[0].shape).length_m);
  }
}
