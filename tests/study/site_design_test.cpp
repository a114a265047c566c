// SPDX-License-Identifier: MIT
// A design is called feasible only where a test can prove it. The distance of the current stake: for an electrode that
// is small against it, by the 61.8 per cent rule the error falls with the square of extent over distance (common
// practice, no source, asks for five to ten times the extent).
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/study/site_design.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <optional>
#include <sstream>
#include <string>

namespace {

using namespace ohmroot;
using namespace ohmroot::study;

Site garden(const std::string& lead_run) {
  std::ifstream file(OHMROOT_SOURCE_DIR "/cli/demo/garden/site.toml");
  std::stringstream bytes;
  bytes << file.rdbuf();
  std::string toml = bytes.str();
  const std::string key = "\nlead_run = ";
  const std::size_t at = toml.find(key);
  REQUIRE(at != std::string::npos);
  const std::size_t end = toml.find('\n', at + 1);
  toml.replace(at, end - at, lead_run.empty() ? "" : key + '"' + lead_run + '"');
  Diagnostics diagnostics("site.toml");
  const auto document = text::read_toml(toml, diagnostics);
  REQUIRE(document);
  const auto no_file = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
  const auto site = read_site(*document, text::Dialect::typed_by_people,
                              {.soil = true, .loads = true, .candidates = false}, no_file, diagnostics);
  REQUIRE(site);
  return *site;
}

/// What is found wrong with the garden if a line of its file reads otherwise.
std::string findings(const std::string& line, const std::string& other) {
  std::ifstream file(OHMROOT_SOURCE_DIR "/cli/demo/garden/site.toml");
  std::stringstream bytes;
  bytes << file.rdbuf();
  std::string toml = bytes.str();
  REQUIRE(toml.find(line) != std::string::npos);
  toml.replace(toml.find(line), line.size(), other);
  Diagnostics diagnostics("site.toml");
  const auto document = text::read_toml(toml, diagnostics);
  REQUIRE(document);
  const auto no_file = [](const std::string&) -> std::optional<std::string> { return std::nullopt; };
  (void)read_site(*document, text::Dialect::typed_by_people,
                  {.soil = true, .loads = true, .candidates = false}, no_file, diagnostics);
  std::string all;
  for (const Diagnostic& found : diagnostics.all())
    all += to_text(found) + "\n";
  return all;
}

DesignResult designed(const std::string& lead_run) {
  DesignOptions options;
  options.draw_count = 400;
  options.search.search_draw_count = 100;  // coarse, and soon done
  return design_electrode(garden(lead_run), options);
}

}  // namespace

TEST_CASE("what the ground does to the metal is read, and what cannot be is refused", "[study]") {
  const Site site = garden("200 m");
  CHECK_FALSE(site.design->ground.frost);
  REQUIRE(site.design->ground.corrosion);
  CHECK(site.design->ground.corrosion->life_years == 40);
  CHECK_FALSE(site.design->ground.refusal);
  CHECK(findings("design_life = 40", "design_life = 30").empty());
  const std::string life = "design_life = 40";
  CHECK_THAT(findings(life + "\n", ""), Catch::Contains("diameter_loss and design_life together"));
  CHECK_THAT(findings("\"0.2 mm\", \"1 mm\"", "\"0.2 mm\", \"9 mm\""), Catch::Contains("more than half"));
  CHECK_THAT(findings(life, life + "\nrefusal_depth = [\"0.5 m\", \"3 m\"]\nrefusal_chance = 0.1"),
             Catch::Contains("above the bottom of the trench"));
  CHECK_THAT(findings(life, life + "\nrefusal_chance = 0.1"), Catch::Contains("refusal_depth"));
  const std::string frost = life + "\nfrost_depth = [\"0 m\", \"0.3 m\"]\nfrozen_factor = ";
  CHECK(findings(life, frost + "[2, 8]").empty());
  CHECK_THAT(findings(life, frost + "[0.5, 8]"), Catch::Contains("frozen_factor"));
}

TEST_CASE("no design is feasible without a test that can prove it", "[study]") {
  const DesignResult far = designed("500 m");
  CHECK(far.verdict == Verdict::feasible);
  REQUIRE(far.acceptance);
  REQUIRE(far.acceptance->accept_below_ohm);  // required 2.19 ohm less conductor 0.02 ohm, over 1.3
  CHECK(*far.acceptance->accept_below_ohm == Approx((70.0 / 32.0 - 0.02) / 1.3).epsilon(0.01));
  REQUIRE(far.met_v.size() == far.search.check->worst_season_ohm.size());
  CHECK(std::is_sorted(far.met_v.begin(), far.met_v.end()));
  CHECK(far.met_v.back() > far.met_v.front());
  REQUIRE(far.testability);
  REQUIRE(far.testability->needed_m);
  CHECK(*far.testability->needed_m > 8.0);  // a group 8 m across
  CHECK(*far.testability->needed_m < 20.0 * 8.0);
  CHECK(far.testability->sentence.find("61.8 %") != std::string::npos);

  // With the PEN open: U^2 / (2 rho lambda) by hand, all of the current on the metal, less than all of the voltage underfoot.
  REQUIRE(far.over_time);
  const HeatingResult& heating = far.over_time->heating;
  CHECK(heating.steady_rise_k ==
        Approx(heating.voltage_v * heating.voltage_v / (2 * heating.least_resistivity_ohm_m * 0.83)));
  // All of the current leaves the metal: rods of 3.6 m and each way of the tape. What the most loaded of it bears for a
  // second by hand: 1000 sqrt(57.7 / rho) on its skin, the tape as a bar of a quarter of its width (common practice).
  double leaving_a = 0.0;
  double least_area_m2 = std::numeric_limits<double>::infinity();  // of skin, per share of the current
  const auto see = [&](const std::string& start, double length_m, double radius_m) {
    const auto part = std::find_if(heating.parts.begin(), heating.parts.end(),
                                   [&](const HeatedPart& p) { return p.name.rfind(start, 0) == 0; });
    INFO(start);
    REQUIRE(part != heating.parts.end());
    leaving_a += part->current_a_per_m * length_m;
    least_area_m2 =
        std::min(least_area_m2, 2 * 3.14159265 * radius_m * heating.current_a / part->current_a_per_m);
    CHECK(part->rise_k.back() <= heating.steady_rise_k);
  };
  const ohmroot::design::Arrangement& found = far.search.best->arrangement;
  for (const auto& place : found.places)
    see(fmt::format("rod at ({:.2f}, {:.2f})", place.x_m, place.y_m), 3.6, 0.008);
  for (const auto& way : found.ways)
    see(fmt::format("tape from ({:.2f}, {:.2f}) m to ({:.2f}, {:.2f})", way.from.x_m, way.from.y_m,
                    way.to.x_m, way.to.y_m),
        std::hypot(way.to.x_m - way.from.x_m, way.to.y_m - way.from.y_m), 0.025 / 4);
  CHECK(heating.parts.size() == found.places.size() + found.ways.size());
  CHECK(leaving_a == Approx(heating.current_a).epsilon(0.01));
  CHECK(heating.duties[1].time_s == 1.0);
  CHECK(heating.duties[1].current_a ==
        Approx(1000 * std::sqrt(57.7 / heating.least_resistivity_ohm_m) * least_area_m2).epsilon(0.01));
  CHECK(far.over_time->step_share_ratio > 0.05);
  CHECK(far.over_time->step_share_ratio < 0.5);
  REQUIRE(far.over_time->touch);  // feet at the far side of the parking place, 3.5 m from the land
  CHECK(far.over_time->touch->feet.y_m == Approx(-3.5).margin(0.1));
  CHECK(far.over_time->touch->share_ratio > far.over_time->step_share_ratio);
  CHECK(far.over_time->touch->share_ratio < 1.0);

  const DesignResult near = designed("5 m");
  CHECK(near.verdict == Verdict::undecided);
  CHECK(near.testability->sentence.find("It cannot be tested") != std::string::npos);
  CHECK(near.headline.find("not called feasible") != std::string::npos);

  const DesignResult unknown = designed("");
  CHECK(unknown.verdict == Verdict::undecided);
  CHECK(unknown.testability->sentence.find("is not stated") != std::string::npos);
}

TEST_CASE("a design is the same for any number of threads", "[study]") {
  DesignOptions options;
  options.draw_count = 100;
  options.search.search_draw_count = 20;
  const Site site = garden("200 m");
  const auto by = [&](std::size_t thread_count) {
    const ohmroot::ThreadCount threads(thread_count);
    return design_electrode(site, options);
  };
  const DesignResult one = by(1), three = by(3);
  REQUIRE(one.search.check);
  REQUIRE(three.search.check);
  CHECK(one.headline == three.headline);
  CHECK(one.search.check->worst_season_ohm == three.search.check->worst_season_ohm);  // to the last bit
  CHECK(one.testability->sentence == three.testability->sentence);
  CHECK(one.surface->share_ratio == three.surface->share_ratio);
}

TEST_CASE("where nothing will do, what would have to change is said with its number", "[study]") {
  Site site = garden("200 m");
  site.loads.front().greatest_current_a = 90.0;
  site.loads.front().current_ceiling_a = 90.0;
  DesignOptions options;
  options.draw_count = 200;
  options.search.search_draw_count = 20;
  options.block_draw_count = 5;
  const DesignResult result = design_electrode(site, options);
  REQUIRE_FALSE(result.search.best);
  const auto with = [&](const std::string& words) {
    return std::find_if(result.changes.begin(), result.changes.end(),
                        [&](const std::string& change) { return change.find(words) != std::string::npos; });
  };
  // The garden's load asks for 70 V / 32 A = 2.19 ohm on one phase; one of three with 90 A / 3 for 70 V / 30 A.
  const auto three_phase = with("Three-phase supply");
  REQUIRE(three_phase != result.changes.end());
  INFO(*three_phase);
  CHECK(three_phase->find("2.33 ohm is required") != std::string::npos);
  CHECK(three_phase->find("would do") != std::string::npos);
  CHECK(with("Charge point: ") != result.changes.end());
  // Each method but the electrode, for which none was found; a TT system takes the cheapest rod that is stable:
  // fixed 180, section 12, head 18, 1.2 m driven at 9, and the trench to the MET, 1 m from the first place.
  CHECK(result.route_prices.size() == ohmroot::routes::method_words().size() - 1);
  const auto tt = std::find_if(result.route_prices.begin(), result.route_prices.end(),
                               [](const std::string& price) { return price.rfind("tt: ", 0) == 0; });
  REQUIRE(tt != result.route_prices.end());
  INFO(*tt);
  CHECK_THAT(*tt, Catch::Contains("one rod of 1.2 m"));
  CHECK_THAT(*tt, Catch::Contains("electrode as designed 246"));
  CHECK_THAT(*tt, Catch::Contains("821 units"));  // with conductor 200, RCD 125, enclosure 130, test 120
  site.routes.prices->currency = "others";
  const DesignResult other = design_electrode(site, options);
  CHECK_THAT(other.route_prices.back(), Catch::Contains("cost not known"));
  CHECK_THAT(other.route_prices.back(), Catch::Contains("another currency"));
  site.routes.prices.reset();
  CHECK_THAT(design_electrode(site, options).route_prices.front(), Catch::Contains("no [route_prices]"));
}
