// SPDX-License-Identifier: MIT
#include "documents.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/text/fields.hpp>
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <array>

using namespace ohmroot;
using namespace ohmroot::text;
using namespace text_tests;

namespace {

constexpr std::array<KeySpec, 3> load_specs{{
    {.name = "current",
     .kind = Kind::quantity,
     .dimension = Dimension::current,
     .least = 0.0,
     .is_required = true},
    {.name = "power_factor",
     .kind = Kind::quantity,
     .least = 0.0,
     .greatest = 1.0,
     .least_is_excluded = true},
    {.name = "name", .kind = Kind::text},
}};

constexpr std::array<KeySpec, 12> specs{{
    {.name = "title", .kind = Kind::text, .is_required = true, .help = "What the report is called."},
    {.name = "soil_word", .kind = Kind::choice, .allowed = "clay|sand|gravel"},
    {.name = "is_invented", .kind = Kind::flag, .default_text = "false"},
    {.name = "rod_count", .kind = Kind::count, .least = 1, .greatest = 50},
    {.name = "length",
     .kind = Kind::quantity,
     .dimension = Dimension::length,
     .least = 0.0,
     .least_is_excluded = true,
     .help = "Buried part of the rod."},
    {.name = "resistivity", .kind = Kind::interval, .dimension = Dimension::resistivity, .least = 1.0},
    {.name = "season", .kind = Kind::interval},
    {.name = "depths", .kind = Kind::quantities, .dimension = Dimension::length, .least = 0.0},
    {.name = "corners", .kind = Kind::points},
    {.name = "readings", .kind = Kind::texts},
    {.name = "load", .kind = Kind::table},
    {.name = "loads", .kind = Kind::tables},
}};

/// A document read as TOML or JSON, with the section over it and what was found.
struct Reading {
  Value document;
  Diagnostics diagnostics;
  std::optional<Section> section;

  Reading(Value parsed, Dialect dialect, const char* file) : document(std::move(parsed)), diagnostics(file) {
    section.emplace(document, "", specs, dialect, diagnostics);
  }
  Reading(const Reading&) = delete;
  const Section& operator*() const { return *section; }
  const Section* operator->() const { return &*section; }
  [[nodiscard]] std::string error() const { return only_error(diagnostics); }
};

/// TOML keys below a title, each error on line 2 and further.
struct Typed : Reading {
  explicit Typed(std::string_view keys)
      : Reading(toml(std::string("title = 'x'\n").append(keys)), Dialect::typed_by_people, "site.toml") {}
};

struct Sent : Reading {
  explicit Sent(std::string_view members) : Reading(parsed(members), Dialect::sent_by_programs, "-") {}

private:
  static Value parsed(std::string_view members) {
    Diagnostics diagnostics;
    const auto document =
        read_json(std::string("{\"title\": \"x\",\n").append(members).append("}"), diagnostics);
    REQUIRE(document.has_value());
    return *document;
  }
};

}  // namespace

TEST_CASE("the same document reads the same as people type it and as programs send it", "[fields]") {
  const Typed typed("soil_word = 'clay'\nis_invented = true\nrod_count = 3\nlength = '2400 mm'\n"
                    "resistivity = ['50 ohm m', '0.2 kohm m']\nseason = 1.2\ndepths = ['60 cm', '2 m']\n"
                    "corners = [['0 m', '0 m'], ['8 m', '1.5 m']]\nreadings = ['a.csv', 'b.csv']\n"
                    "load = {current = '32 A', power_factor = 0.95}\n"
                    "[[loads]]\ncurrent = '10 A'\n[[loads]]\ncurrent = '300 mA'\n");
  const Sent sent("\"soil_word\": \"clay\", \"is_invented\": true, \"rod_count\": 3, \"length_m\": 2.4,"
                  "\"resistivity_ohm_m\": [50, 200], \"season_ratio\": 1.2, \"depths_m\": [0.6, 2],"
                  "\"corners_m\": [[0, 0], [8, 1.5]], \"readings\": [\"a.csv\", \"b.csv\"],"
                  "\"load\": {\"current_a\": 32, \"power_factor_ratio\": 0.95},"
                  "\"loads\": [{\"current_a\": 10}, {\"current_a\": 0.3}]");
  for (const Reading* reading : {static_cast<const Reading*>(&typed), static_cast<const Reading*>(&sent)}) {
    const Section& site = **reading;
    CHECK(site.text("title") == "x");
    CHECK(site.text("soil_word") == "clay");
    CHECK(site.flag("is_invented") == true);
    CHECK(site.count("rod_count") == 3);
    CHECK(site.quantity("length").value() == Approx(2.4).epsilon(1e-15));
    const auto resistivity = site.interval("resistivity");
    REQUIRE(resistivity.has_value());
    CHECK(resistivity->least == 50.0);
    CHECK(resistivity->greatest == 200.0);
    const auto season = site.interval("season");
    REQUIRE(season.has_value());
    CHECK(season->least == 1.2);
    CHECK(season->greatest == 1.2);
    const auto depths = site.quantities("depths");
    REQUIRE(depths.has_value());
    REQUIRE(depths->size() == 2);
    CHECK(depths->at(0) == Approx(0.6).epsilon(1e-15));
    const auto corners = site.points("corners");
    REQUIRE(corners.has_value());
    REQUIRE(corners->size() == 2);
    CHECK(corners->at(1).x_m == 8.0);
    CHECK(corners->at(1).y_m == 1.5);
    CHECK(site.texts("readings") == std::vector<std::string>{"a.csv", "b.csv"});
    const auto load = site.table("load", load_specs);
    REQUIRE(load.has_value());
    CHECK(load->quantity("current") == 32.0);
    CHECK(load->quantity("power_factor") == 0.95);
    CHECK(load->path() == "load");
    const auto loads = site.tables("loads", load_specs);
    REQUIRE(loads.size() == 2);
    CHECK(loads[1].path() == "loads[2]");
    CHECK(loads[1].quantity("current") == 0.3);
    CHECK(reading->diagnostics.all().empty());
  }
}

TEST_CASE("keys that are absent give nothing and no finding", "[fields]") {
  const Typed site("");
  CHECK_FALSE(site->has("length"));
  CHECK(site->has("title"));
  CHECK_FALSE(site->text("soil_word").has_value());
  CHECK_FALSE(site->flag("is_invented").has_value());
  CHECK_FALSE(site->count("rod_count").has_value());
  CHECK_FALSE(site->quantity("length").has_value());
  CHECK_FALSE(site->interval("resistivity").has_value());
  CHECK_FALSE(site->quantities("depths").has_value());
  CHECK_FALSE(site->points("corners").has_value());
  CHECK_FALSE(site->texts("readings").has_value());
  CHECK_FALSE(site->table("load", load_specs).has_value());
  CHECK(site->tables("loads", load_specs).empty());
  CHECK(site.diagnostics.all().empty());
}

TEST_CASE("an unknown key names the nearest valid one", "[fields]") {
  CHECK(Typed("resistivty = '50 ohm m'\n").error() ==
        "site.toml:2:1: error: unknown key 'resistivty'; did you mean 'resistivity'?\n"
        "  hint: resistivity is a resistivity with its unit, as in \"2.4 ohm m\"");
  CHECK(Typed("titl = 1\n").error() == "site.toml:2:1: error: unknown key 'titl'; did you mean 'title'?");
  const Typed site(
      "[load]\ncurrent = '1 A'\nnme = 'x'\n[[loads]]\ncurrent = '1 A'\n[[loads]]\ncurrent = '1 A'\n"
      "powerfactor = 1\n");
  static_cast<void>(site->table("load", load_specs));
  static_cast<void>(site->tables("loads", load_specs));
  REQUIRE(site.diagnostics.all().size() == 2);
  CHECK(to_text(site.diagnostics.all()[0]) ==
        "site.toml:4:1: error: unknown key 'nme' in [load]; did you mean 'name'?");
  CHECK(to_text(site.diagnostics.all()[1]) ==
        "site.toml:9:1: error: unknown key 'powerfactor' in loads[2]; did you mean 'power_factor'?");
}

TEST_CASE("an unknown key that is near to none lists the keys", "[fields]") {
  const Typed site("[load]\ncurrent = '1 A'\ncolour = 'red'\n");
  static_cast<void>(site->table("load", load_specs));
  CHECK(site.error() == "site.toml:4:1: error: unknown key 'colour' in [load]\n"
                        "  hint: keys allowed here: current, power_factor, name");
}

TEST_CASE("a key of the other dialect names the right one", "[fields]") {
  CHECK(Typed("length_m = 2.4\n").error() ==
        "site.toml:2:1: error: unknown key 'length_m'; did you mean 'length'?\n"
        "  hint: length is a length with its unit, as in \"2.4 m\"");
  CHECK(Sent("\"length\": 2.4").error() == "-:2:1: error: unknown key 'length'; did you mean 'length_m'?\n"
                                           "  hint: length_m is a number in m");
  CHECK(Sent("\"length_mm\": 2400").error() ==
        "-:2:1: error: unknown key 'length_mm'; did you mean 'length_m'?\n"
        "  hint: length_m is a number in m");
  CHECK(Sent("\"resistivty\": 50").error() ==
        "-:2:1: error: unknown key 'resistivty'; did you mean 'resistivity_ohm_m'?\n"
        "  hint: resistivity_ohm_m is a number in ohm m");
  CHECK(Sent("\"season\": 1").error() == "-:2:1: error: unknown key 'season'; did you mean 'season_ratio'?");
}

TEST_CASE("a missing key is reported at its table, with what it means", "[fields]") {
  Diagnostics diagnostics("site.toml");
  const Value document = toml("length = '1 m'\n[load]\nname = 'x'\n");
  const Section site(document, "", specs, Dialect::typed_by_people, diagnostics);
  CHECK(to_text(diagnostics.all().back()) ==
        "site.toml:1:1: error: missing key 'title'\n  hint: What the report is called.");
  static_cast<void>(site.table("load", load_specs));
  CHECK(to_text(diagnostics.all().back()) == "site.toml:2:1: error: missing key 'current' in [load]");
  const Sent sent("\"load\": {\"power_factor_ratio\": 1}");
  static_cast<void>(sent->table("load", load_specs));
  CHECK(sent.error() == "-:2:9: error: missing key 'current_a' in load");
}

TEST_CASE("a quantity without unit shows how to write it", "[fields]") {
  const Typed site("[[loads]]\ncurrent = 32\n");
  CHECK_FALSE(site->tables("loads", load_specs).at(0).quantity("current").has_value());
  CHECK(site.error() ==
        "site.toml:3:11: error: loads[1].current is a bare number (32); write its unit, as in \"32 A\"");
  const Typed text("length = '2.4'\n");
  CHECK_FALSE(text->quantity("length").has_value());
  CHECK(text.error().rfind("site.toml:2:10: error: length \"2.4\" has no unit\n  hint: write the unit", 0) ==
        0);
}

TEST_CASE("a quantity of another dimension is named as what it is", "[fields]") {
  const Typed site("length = '3 ohm'\n");
  CHECK_FALSE(site->quantity("length").has_value());
  CHECK(site.error().rfind("site.toml:2:10: error: length is a resistance (", 0) == 0);
  CHECK(site.error().find(") where a length is needed") != std::string::npos);
}

TEST_CASE("a quantity out of range says the range and the value as typed", "[fields]") {
  const Typed site("length = '-2 m'\nresistivity = '500 ohm mm'\ndepths = ['1 m', '-3 cm']\nrod_count = 0\n"
                   "load = {current = '1 A', power_factor = 1.5}\n");
  CHECK_FALSE(site->quantity("length").has_value());
  CHECK(site.error() == "site.toml:2:10: error: length must be greater than 0 m, is -2 m");
  CHECK_FALSE(site->quantities("depths").has_value());
  CHECK(to_text(site.diagnostics.all().back()) ==
        "site.toml:4:18: error: depths[2] must be at least 0 m, is -3 cm");
  CHECK_FALSE(site->count("rod_count").has_value());
  CHECK(to_text(site.diagnostics.all().back()) ==
        "site.toml:5:13: error: rod_count must be at least 1 and at most 50, is 0");
  CHECK_FALSE(site->table("load", load_specs)->quantity("power_factor").has_value());
  CHECK(to_text(site.diagnostics.all().back()) ==
        "site.toml:6:41: error: load.power_factor must be greater than 0 and at most 1, is 1.5");
  const Sent sent("\"length_m\": 0");
  CHECK_FALSE(sent->quantity("length").has_value());
  CHECK(sent.error() == "-:2:13: error: length_m must be greater than 0 m, is 0 m");
}

TEST_CASE("programs send bare numbers in SI", "[fields]") {
  const Sent sent("\"length_m\": \"2.4 m\"");
  CHECK_FALSE(sent->quantity("length").has_value());
  CHECK(sent.error() == "-:2:13: error: length_m must be a number in m, is a text (\"2.4 m\")");
  const Sent null("\"length_m\": null");
  CHECK_FALSE(null->quantity("length").has_value());
  CHECK(null.error() == "-:2:13: error: length_m must be a number in m, is null\n"
                        "  hint: leave the key out if the value is not known");
}

TEST_CASE("people may type a ratio as a percentage", "[fields]") {
  const Typed site("load = {current = '1 A', power_factor = '95 %'}\n");
  CHECK(site->table("load", load_specs)->quantity("power_factor").value() == Approx(0.95).epsilon(1e-15));
  CHECK(site.diagnostics.all().empty());
}

TEST_CASE("values of a wrong kind say what is wanted and what was found", "[fields]") {
  const Typed site(
      "soil_word = 3\nis_invented = 'yes'\nrod_count = 2.5\nlength = true\n"
      "depths = '1 m'\ncorners = [['0 m', '0 m'], ['8 m']]\nreadings = 'a.csv'\nload = 1\nloads = [1]\n");
  CHECK_FALSE(site->text("soil_word").has_value());
  CHECK_FALSE(site->flag("is_invented").has_value());
  CHECK_FALSE(site->count("rod_count").has_value());
  CHECK_FALSE(site->quantity("length").has_value());
  CHECK_FALSE(site->quantities("depths").has_value());
  CHECK_FALSE(site->points("corners").has_value());
  CHECK_FALSE(site->texts("readings").has_value());
  CHECK_FALSE(site->table("load", load_specs).has_value());
  CHECK(site->tables("loads", load_specs).empty());
  const std::array<std::string_view, 9> messages{
      "soil_word must be one of \"clay\", \"sand\", \"gravel\", is a number (3)",
      "is_invented must be true or false, is a text (\"yes\")",
      "rod_count must be a whole number, is a number (2.5)",
      "length must be a length with its unit, as in \"2.4 m\", is true",
      "depths must be a list, each of it a length with its unit, as in \"2.4 m\", is a text (\"1 m\")",
      "corners[2] must be a pair [x, y], is a list",
      "readings must be a list of texts, is a text (\"a.csv\")",
      "load must be a table, is a number (1)",
      "loads[1] must be a table, is a number (1)"};
  REQUIRE(site.diagnostics.all().size() == messages.size());
  for (std::size_t i = 0; i < messages.size(); ++i)
    CHECK(site.diagnostics.all()[i].message == messages[i]);
  CHECK(site.diagnostics.all()[5].hint == R"(write a list of pairs: [["0 m", "0 m"], ["8 m", "0 m"]])");
  CHECK(site.diagnostics.all()[6].hint == "write [\"a.csv\"]");
}

TEST_CASE("lists that hold or are something else say so", "[fields]") {
  const Typed site("corners = '8 m'\nreadings = ['a.csv', 2]\nloads = 'none'\n");
  CHECK_FALSE(site->points("corners").has_value());
  CHECK_FALSE(site->texts("readings").has_value());
  CHECK(site->tables("loads", load_specs).empty());
  const std::array<std::string_view, 3> messages{
      "corners must be a list of points [x, y], is a text (\"8 m\")",
      "readings[2] must be a text in quotes, is a number (2)",
      "loads must be a table or a list of tables, is a text (\"none\")"};
  REQUIRE(site.diagnostics.all().size() == messages.size());
  for (std::size_t i = 0; i < messages.size(); ++i)
    CHECK(site.diagnostics.all()[i].message == messages[i]);
}

TEST_CASE("a choice that is not allowed names the nearest", "[fields]") {
  const Typed site("soil_word = 'cley'\n");
  CHECK_FALSE(site->text("soil_word").has_value());
  CHECK(site.error() ==
        "site.toml:2:13: error: soil_word must be one of \"clay\", \"sand\", \"gravel\", is \"cley\"\n"
        "  hint: did you mean \"clay\"?");
}

TEST_CASE("an interval has two ends in order", "[fields]") {
  const Typed site("resistivity = ['0.2 kohm m', '50 ohm m']\nseason = [1, 2, 3]\n");
  CHECK_FALSE(site->interval("resistivity").has_value());
  CHECK(site.error() ==
        "site.toml:2:15: error: resistivity must be [least, greatest], but \"0.2 kohm m\" is greater "
        "than \"50 ohm m\"\n  hint: swap the two");
  CHECK_FALSE(site->interval("season").has_value());
  CHECK(site.diagnostics.all().back().message ==
        "season must be one value or [least, greatest], is a list of 3");
  const Typed ends("resistivity = ['0.5 ohm m', '3 m']\n");
  CHECK_FALSE(ends->interval("resistivity").has_value());
  REQUIRE(ends.diagnostics.all().size() == 2);
  CHECK(ends.diagnostics.all()[0].message == "resistivity[1] must be at least 1 ohm m, is 0.5 ohm m");
  CHECK(ends.diagnostics.all()[1].message.rfind("resistivity[2] is a length", 0) == 0);
  CHECK(Typed("season = [0.9, 0.9]\n")->interval("season")->greatest == 0.9);
}

TEST_CASE("one table may stand for a list of one", "[fields]") {
  const Typed site("[loads]\ncurrent = '5 A'\n");
  const auto loads = site->tables("loads", load_specs);
  REQUIRE(loads.size() == 1);
  CHECK(loads[0].path() == "loads");
  CHECK(loads[0].quantity("current") == 5.0);
}

TEST_CASE("errors of meaning stand at the key and carry its full name", "[fields]") {
  const Typed site("[[loads]]\ncurrent = '5 A'\n");
  const Section load = site->tables("loads", load_specs).at(0);
  load.error("current", "too-small", "is less than the minimum stated", "swap the two");
  load.warning("name", "unnamed", "is absent");
  load.error("", "odd", "holds no load");
  site->error("", "no-land", "no land is given");
  const auto& found = site.diagnostics.all();
  REQUIRE(found.size() == 4);
  CHECK(to_text(found[0]) ==
        "site.toml:3:11: error: loads[1].current: is less than the minimum stated\n  hint: swap the two");
  CHECK(to_text(found[1]) == "site.toml:2:1: warning: loads[1].name: is absent");
  CHECK(to_text(found[2]) == "site.toml:2:1: error: loads[1]: holds no load");
  CHECK(to_text(found[3]) == "site.toml:1:1: error: no land is given");
}

TEST_CASE("a document that is no table is reported once", "[fields]") {
  Diagnostics diagnostics("-");
  const Value list = *read_json("[1]", diagnostics);
  const Section site(list, "", specs, Dialect::sent_by_programs, diagnostics);
  CHECK(only_error(diagnostics) == "-:1:1: error: the document must be a table, is a list");
  CHECK_FALSE(site.has("title"));
  CHECK_FALSE(site.quantity("length").has_value());
}

TEST_CASE("asking for a key that has no spec, or as another kind, is a defect of the caller", "[fields]") {
  const Typed site("length = '1 m'\n");
  CHECK_THROWS_AS(site->has("lenght"), InternalError);
  CHECK_THROWS_AS(site->quantity("lenght"), InternalError);
  CHECK_THROWS_AS(site->text("length"), InternalError);
  CHECK_THROWS_AS(site->interval("length"), InternalError);
}

TEST_CASE("every spec has one key in each dialect", "[fields]") {
  const auto key = [](std::string_view name, Dialect dialect) {
    return key_in(
        *std::find_if(specs.begin(), specs.end(), [&](const KeySpec& spec) { return spec.name == name; }),
        dialect);
  };
  for (const KeySpec& spec : specs)
    CHECK(key_in(spec, Dialect::typed_by_people) == spec.name);
  CHECK(key("title", Dialect::sent_by_programs) == "title");
  CHECK(key("rod_count", Dialect::sent_by_programs) == "rod_count");
  CHECK(key("length", Dialect::sent_by_programs) == "length_m");
  CHECK(key("resistivity", Dialect::sent_by_programs) == "resistivity_ohm_m");
  CHECK(key("season", Dialect::sent_by_programs) == "season_ratio");
  CHECK(key("depths", Dialect::sent_by_programs) == "depths_m");
  CHECK(key("corners", Dialect::sent_by_programs) == "corners_m");
  CHECK(key("loads", Dialect::sent_by_programs) == "loads");
}

TEST_CASE("the reference of keys has a line for each", "[fields]") {
  const std::string text = describe(specs);
  CHECK(std::count(text.begin(), text.end(), '\n') == static_cast<long>(specs.size()));
  CHECK(text.find("title        text; required. What the report is called.\n") != std::string::npos);
  CHECK(text.find("length       length (m, mm, cm, km, ft); greater than 0 m. Buried part of the rod.\n") !=
        std::string::npos);
  CHECK(text.find("is_invented  true or false; default: false\n") != std::string::npos);
  CHECK(text.find("rod_count    whole number; at least 1 and at most 50\n") != std::string::npos);
  CHECK(text.find("season       number without unit, one value or [least, greatest]\n") != std::string::npos);
}
