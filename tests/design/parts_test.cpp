// SPDX-License-Identifier: MIT
#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/parts.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <string>

using namespace ohmroot;
using namespace ohmroot::design;

namespace {

const std::string whole_list = R"(currency = "units"
section = 10
coupler = 2
head = 5
driving_per_metre = 4
trench_per_metre = 20
tape_per_metre = 3
conductor_per_metre = 1
fixed = 100
)";

std::string findings(const std::string& toml, Prices* prices = nullptr, const Parts& parts = {}) {
  Diagnostics diagnostics("prices.toml");
  const auto document = text::read_toml(toml, diagnostics);
  REQUIRE(document);
  const text::Section section(*document, "prices", price_keys(), text::Dialect::typed_by_people, diagnostics);
  const Prices read = read_prices(section, parts);
  if (prices != nullptr) *prices = read;
  std::string all;
  for (const Diagnostic& found : diagnostics.all())
    all += to_text(found) + "\n";
  return all;
}

}  // namespace

TEST_CASE("every price must be stated", "[design]") {
  Prices prices;
  CHECK(findings(whole_list, &prices).empty());
  CHECK(prices.trench_per_m == 20);
  for (const auto& key : price_keys()) {
    const std::string name(key.name);
    if (!key.is_required) continue;  // the lead of the test: its default is said
    INFO(name);
    const auto from = ("\n" + whole_list).find("\n" + name + " =");
    REQUIRE(from != std::string::npos);
    std::string without = whole_list;
    without.erase(from, without.find('\n', from) + 1 - from);
    CHECK_THAT(findings(without), Catch::Contains(name));
  }
  std::string negative = whole_list;
  negative.replace(negative.find("head = 5"), 8, "head = -5");
  CHECK_THAT(findings(negative), Catch::Contains("head"));
}

TEST_CASE("what may be laid or joined needs its price, and only that", "[design]") {
  Parts parts;
  parts.plates = Plates{0.6, 0.8};
  CHECK_THAT(findings(whole_list, nullptr, parts), Catch::Contains("plate is missing"));
  parts.plates.reset();
  parts.steel = ExistingSteel{"steel of the slab", {0, 0}, {{8, 1}, {6, 1}, 0.5, 0.006}};
  CHECK_THAT(findings(whole_list, nullptr, parts), Catch::Contains("steel is missing"));
  CHECK(findings(whole_list + "steel = 90\nplate = 150\n", nullptr, parts).empty());
}

namespace {

std::string part_findings(const std::string& toml, Parts* parts = nullptr) {
  Diagnostics diagnostics("parts.toml");
  const auto document = text::read_toml(toml, diagnostics);
  REQUIRE(document);
  const text::Section section(*document, "parts", part_keys(), text::Dialect::typed_by_people, diagnostics);
  const Parts read = read_parts(section);
  if (parts != nullptr) *parts = read;
  std::string all;
  for (const Diagnostic& found : diagnostics.all())
    all += to_text(found) + "\n";
  return all;
}

const std::string no_rods = R"(rod_section = "1.2 m"
rod_diameter = "16 mm"
rod_depth = "0 m"
trench_depth = "0.5 m"
)";

}  // namespace

TEST_CASE("plates and steel are read, and what cannot be is refused with its place", "[design]") {
  CHECK_THAT(part_findings(no_rods), Catch::Contains("no tape, plate or steel"));
  Parts parts;
  CHECK(part_findings(no_rods + "plate_side = \"0.6 m\"\nplate_depth = \"0.8 m\"\nplates = 3\n", &parts)
            .empty());
  REQUIRE(parts.plates);
  CHECK(parts.plates->side_m == 0.6);
  CHECK(parts.plates->greatest_count == 3);
  CHECK_THAT(part_findings(no_rods + "plate_side = \"0.6 m\"\n"), Catch::Contains("plate_depth together"));
  CHECK_THAT(part_findings(no_rods + "plate_side = \"0.9 m\"\nplate_depth = \"0.3 m\"\n"),
             Catch::Contains("would stand out"));
  const std::string steel = no_rods + R"([steel]
name = "steel of the slab"
corner = [["2 m", "1 m"]]
length = "8 m"
width = "6 m"
depth = "0.5 m"
bar_diameter = "12 mm"
)";
  CHECK(part_findings(steel, &parts).empty());
  REQUIRE(parts.steel);
  CHECK(parts.steel->corner.x_m == 2);
  CHECK(parts.steel->mesh.radius_m == Approx(0.006));
  CHECK_THAT(part_findings(steel + "corner2 = 1\n"), Catch::Contains("corner2"));
}

// Worked by hand: 3 rods of 2 sections of 1.2 m, 4 m apart in an L, MET 1 m from the first.
TEST_CASE("an arrangement's quantities and cost by hand", "[design]") {
  SitePlan plan;
  plan.land = {{-3, -3}, {10, -3}, {10, 10}, {-3, 10}};
  plan.depth_m = 3;
  plan.met = PlanPoint{-1, 0};
  Parts parts;
  parts.greatest_drive_m = 3;
  Prices prices;
  REQUIRE(findings(whole_list, &prices).empty());
  const auto rods = joined_rods(plan, Kind::rods_free, {{0, 0}, {4, 0}, {4, 4}}, 2, false);
  REQUIRE(rods);
  const Quantities q = quantities_of(*rods, parts);
  CHECK(q.section_count == 6);
  CHECK(q.coupler_count == 3);
  CHECK(q.driven_m == Approx(7.2));
  CHECK(q.trench_m == Approx(9));
  CHECK(q.conductor_m == Approx(9));
  CHECK(q.tape_m == 0);
  // 100 + 6*10 + 3*2 + 3*5 + 7.2*4 + 9*20 + 9*1
  CHECK(cost_of(q, prices) == Approx(398.8));
  const auto taped = joined_rods(plan, Kind::rods_free, {{0, 0}, {4, 0}, {4, 4}}, 2, true);
  CHECK(cost_of(quantities_of(*taped, parts), prices) == Approx(398.8 + 8 * (3 - 1)));
  CHECK(section_counts(parts) == std::vector<int>{1, 2});
}

TEST_CASE("a keep-out between rods makes the ways go round, or leaves none", "[design]") {
  SitePlan plan;
  plan.land = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
  plan.depth_m = 3;
  plan.keep_outs = {{"drain", {{4.8, -1}, {5.2, -1}, {5.2, 8}, {4.8, 8}}, 0.0}};
  CHECK_FALSE(joined_rods(plan, Kind::rods_free, {{2, 2}, {8, 2}}, 1, false));
  const auto round = joined_rods(plan, Kind::rods_free, {{2, 2}, {8, 2}, {2, 9}, {8, 9}}, 1, false);
  REQUIRE(round);
  CHECK(round->ways.size() == 3);
}
