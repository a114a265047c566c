// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/check.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>

using namespace ohmroot;
using namespace ohmroot::evidence;
namespace fs = std::filesystem;

namespace {

constexpr const char* good_sources = R"(
[[source]]
id = "a-handbook"
title = "A handbook made up for this test, no year"
how_seen = "invented"
was_read = true
[[source]]
id = "an-unread-standard"
title = "A standard made up for this test, no year"
how_seen = "never opened"
was_read = false
)";

/// A group with everything but rows: a Wenner reading, spacing 1 m.
constexpr const char* good_group = R"(
[[group]]
quantity = "sounding.apparent_resistivity_ohm_m"
source = "a-handbook"
where = "page 1"
provenance = "published"
tolerance_ratio = 0.001
because = "printed to 0.1"
given = { spacing_m = 1.0 }
)";

/// A folder of check values that lasts as long as the object.
class Folder {
public:
  Folder() : path_(fs::temp_directory_path() / ("ohmroot-evidence-" + std::to_string(++count_))) {
    fs::remove_all(path_);
    fs::create_directories(path_ / "room");
  }
  ~Folder() { fs::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  void write(const std::string& name, const std::string& text) const { std::ofstream(path_ / name) << text; }
  [[nodiscard]] std::string path() const { return path_.string(); }

private:
  static inline int count_ = 0;
  fs::path path_;
};

struct Reading {
  CheckBook book;
  Diagnostics diagnostics;
};

Reading read_rows(const std::string& rows, const std::string& sources = good_sources) {
  const Folder folder;
  folder.write("sources.toml", sources);
  folder.write("room/rows.toml", rows);
  Reading reading;
  reading.book = read_check_book(folder.path(), reading.diagnostics);
  return reading;
}

std::string all_text(const Diagnostics& diagnostics) {
  std::string text;
  for (const Diagnostic& diagnostic : diagnostics.all())
    text += to_text(diagnostic) + "\n";
  return text;
}

bool has_code(const Diagnostics& diagnostics, const std::string& code) {
  return std::any_of(diagnostics.all().begin(), diagnostics.all().end(),
                     [&](const Diagnostic& diagnostic) { return diagnostic.code == code; });
}

/// One row under the good group; outcome of the run.
CheckOutcome outcome_of(const std::string& row, CheckBook& keep) {
  Reading reading = read_rows(std::string(good_group) + "check = [ " + row + " ]\n");
  INFO(all_text(reading.diagnostics));
  REQUIRE_FALSE(reading.diagnostics.has_errors());
  keep = std::move(reading.book);
  const std::vector<CheckOutcome> outcomes = run_checks(keep);
  REQUIRE(outcomes.size() == 1);
  return outcomes.front();
}

/// A group of one row with a tolerance of a thousandth.
bool is_as_stated(const std::string& quantity_and_given, const std::string& expected) {
  const Reading reading = read_rows(R"(
source = "a-handbook"
where = "page 1"
provenance = "independent"
because = "test"
tolerance_ratio = 0.001
[[group]]
)" + quantity_and_given +
                                    "check = [ { id = \"x\", expected = " + expected + " } ]\n");
  INFO(all_text(reading.diagnostics));
  REQUIRE_FALSE(reading.diagnostics.has_errors());
  const CheckOutcome outcome = run_checks(reading.book).front();
  INFO(outcome.why);
  REQUIRE(outcome.was_run);
  return outcome.is_as_stated;
}

}  // namespace

TEST_CASE("A row inherits from its group and its file what it does not say itself") {
  const Reading reading = read_rows(R"(
source = "a-handbook"
provenance = "published"
tolerance_ratio = 0.5
because = "head of the file"
[[group]]
quantity = "sounding.apparent_resistivity_ohm_m"
where = "page 1"
given = { spacing_m = 1.0 }
check = [
  { id = "one", given = { resistance_ohm = 2.0 }, expected = 12.5 },
  { id = "two", given = { spacing_m = 3.0, resistance_ohm = 2.0 }, tolerance_ratio = 0.1, where = "page 2", expected = 37.7 },
]
)");
  INFO(all_text(reading.diagnostics));
  REQUIRE_FALSE(reading.diagnostics.has_errors());
  REQUIRE(reading.book.checks.size() == 2);
  const Check& one = reading.book.checks[0];
  const Check& two = reading.book.checks[1];
  CHECK(one.given.find("spacing_m")->number() == 1.0);
  CHECK(one.given.find("resistance_ohm")->number() == 2.0);
  CHECK(one.tolerance_ratio == 0.5);
  CHECK(one.where == "page 1");
  CHECK(one.standing == Standing::agrees);
  CHECK(one.file == "room/rows.toml");
  CHECK(one.line == 11);
  CHECK(two.given.find("spacing_m")->number() == 3.0);
  CHECK(two.tolerance_ratio == 0.1);
  CHECK(two.where == "page 2");
  CHECK(two.line == 12);
}

TEST_CASE("A value outside its tolerance is caught, one inside it passes") {
  CheckBook book;
  const CheckOutcome good =
      outcome_of(R"({ id = "x", given = { resistance_ohm = 10.0 }, expected = 62.83 })", book);
  CHECK(good.was_run);
  CHECK(good.is_within_tolerance);
  CHECK(good.is_as_stated);
  CHECK(good.computed.number() == Approx(62.8318530718));
  const CheckOutcome bad =
      outcome_of(R"({ id = "x", given = { resistance_ohm = 10.0 }, expected = 62.7 })", book);
  CHECK(bad.was_run);
  CHECK_FALSE(bad.is_within_tolerance);
  CHECK_FALSE(bad.is_as_stated);
  CHECK(bad.difference_ratio == Approx(0.131853 / 62.7).epsilon(1e-4));
  CHECK(bad.why.find("differs by") != std::string::npos);
}

TEST_CASE("A row that disagrees fails as soon as it agrees") {
  CheckBook book;
  const std::string tail =
      R"(, standing = "disagrees", remark = "a misprint", given = { resistance_ohm = 10.0 } })";
  CHECK(outcome_of(R"({ id = "x", expected = 70.0)" + tail, book).is_as_stated);
  const CheckOutcome agreeing = outcome_of(R"({ id = "x", expected = 62.83)" + tail, book);
  CHECK_FALSE(agreeing.is_as_stated);
  CHECK(agreeing.why == "stated as disagreeing, but it agrees now");
}

TEST_CASE("A row that is not yet run fails as soon as it can be computed") {
  CheckBook book;
  const CheckOutcome outcome = outcome_of(
      R"({ id = "x", standing = "not_yet_run", remark = "waits", given = { resistance_ohm = 10.0 }, expected = 62.8 })",
      book);
  CHECK_FALSE(outcome.is_as_stated);
  const CheckOutcome waiting = outcome_of(
      R"({ id = "x", quantity = "moon.phase_ratio", standing = "not_yet_run", remark = "waits", expected = 0.5 })",
      book);
  CHECK_FALSE(waiting.was_run);
  CHECK(waiting.is_as_stated);
  CHECK(waiting.why == "waits");
}

TEST_CASE("Inputs that the library refuses make the row fail with the library's reason") {
  CheckBook book;
  const CheckOutcome outcome = outcome_of(
      R"({ id = "x", given = { spacing_m = -1.0, resistance_ohm = 10.0 }, expected = 62.8 })", book);
  CHECK_FALSE(outcome.was_run);
  CHECK_FALSE(outcome.is_as_stated);
  CHECK_FALSE(outcome.why.empty());
}

TEST_CASE("Lists are compared value by value, a zero by its neighbours, words literally") {
  CheckBook book;
  const std::string two =
      R"({ id = "x", given = { spacing_m = [1.0, 2.0], resistance_ohm = 10.0 }, expected = )";
  CHECK(outcome_of(two + "[62.83, 125.66] }", book).is_as_stated);
  CHECK_FALSE(outcome_of(two + "[62.83, 126.66] }", book).is_as_stated);
  CHECK_FALSE(outcome_of(two + "[62.83] }", book).is_as_stated);
  CHECK_FALSE(outcome_of(two + "\"62.83\" }", book).is_as_stated);

  const auto met = [](const std::string& first_current_a) {
    return "quantity = \"supply.met_v\"\ngiven = { source_v = 253.0, earth_path_ohm = [10.0], loads = [ "
           "{ phase = 1, current_a = " +
           first_current_a + " }, { phase = 2, current_a = 18.0 }, { phase = 3, current_a = 22.0 } ] }\n";
  };
  CHECK(is_as_stated(met("20.001"), "[0.0, 10.559]"));  // the real part is 0.003 V
  CHECK_FALSE(is_as_stated(met("20.1"), "[0.0, 10.559]"));
  const std::string circuit =
      "given = { source_v = 253.0, earth_path_ohm = [1.98], loads = [ { current_a = 40.0 } ] }\n";
  const std::string status = "quantity = \"supply.status\"\n" + circuit;
  CHECK(is_as_stated(status, "\"solved\""));
  CHECK_FALSE(is_as_stated(status, "\"no operating point\""));
}

TEST_CASE("A band must hold the expected value, a bound must not pass it") {
  const std::string rod = R"(quantity = "electrode.rod.truth_ohm"
given = { length_m = 2.4, diameter_m = 0.016, soil_resistivity_ohm_m = 100.0 }
)";
  CHECK(is_as_stated(rod, "39.99"));
  CHECK_FALSE(is_as_stated(rod, "41.0"));
  CHECK_FALSE(is_as_stated(rod, "38.0"));
  const std::string word = R"(quantity = "earth.soil_word_range_ohm_m"
given = { word = "clay" }
)";
  CHECK(is_as_stated(word, "[10.0, 100.0]"));
  CHECK_FALSE(is_as_stated(word, "[10.0, 1000.0]"));
  const std::string floor = R"(quantity = "electrode.ellipsoid_floor_ohm"
given = { length_m = 1.0, width_m = 1.0, depth_m = 0.5, soil_resistivity_ohm_m = 100.0 }
)";
  CHECK(is_as_stated(floor, "24.09"));
  CHECK_FALSE(is_as_stated(floor, "10.0"));
  const std::string ceiling = R"(quantity = "electrode.rod_grid.equal_current_ohm"
given = { length_m = 2.4, diameter_m = 0.016, rods_along = 2, rods_across = 1, spacing_m = 2.4, soil_resistivity_ohm_m = 100.0 }
)";
  CHECK(is_as_stated(ceiling, "22.7"));
  CHECK_FALSE(is_as_stated(ceiling, "23.2"));
}

TEST_CASE("Every mistake in a row is an error with file and line") {
  struct Mistake {
    const char* name;
    const char* code;
    std::string rows;
    const char* says;
  };
  const std::string group = good_group;
  const std::string given = R"(given = { resistance_ohm = 10.0 })";
  const Mistake mistakes[] = {
      {"unknown key of a row", "unknown-key",
       group + R"(check = [ { id = "x", )" + given + R"(, expcted = 1.0 } ])", "did you mean 'expected'?"},
      {"unknown key of a group", "unknown-key", group + R"(sorce = "a-handbook"
check = [ { id = "x", )" + given + R"(, expected = 1.0 } ])",
       "did you mean 'source'?"},
      {"unknown key of the file", "unknown-key", R"(tolerance = 1
)" + group + R"(check = [ { id = "x", )" + given + R"(, expected = 1.0 } ])",
       "unknown key 'tolerance'"},
      {"input that the quantity does not take", "unknown-key",
       group + R"(check = [ { id = "x", given = { resistance_ohm = 1.0, colour = 2 }, expected = 1.0 } ])",
       "does not take 'colour'"},
      {"input that the quantity needs", "missing-key",
       group + R"(check = [ { id = "x", quantity = "earth.surface_potential_ohm", expected = 1.0 } ])",
       "needs 'layers'"},
      {"no expected value", "missing-key", group + R"(check = [ { id = "x", )" + given + R"( } ])",
       "the row says no 'expected'"},
      {"no id", "missing-key", group + R"(check = [ { )" + given + R"(, expected = 1.0 } ])",
       "the row says no 'id'"},
      {"unknown source", "unknown-source",
       group + R"(check = [ { id = "x", source = "a-handbok", )" + given + R"(, expected = 1.0 } ])",
       "did you mean 'a-handbook'?"},
      {"published from a source that was not read", "source-not-read",
       group + R"(check = [ { id = "x", source = "an-unread-standard", )" + given + R"(, expected = 1.0 } ])",
       "never opened"},
      {"unknown quantity", "unknown-quantity",
       group + R"(check = [ { id = "x", quantity = "sounding.aparent_resistivity_ohm_m", )" + given +
           R"(, expected = 1.0 } ])",
       "did you mean 'sounding.apparent_resistivity_ohm_m'?"},
      {"unknown standing", "unknown-word",
       group + R"(check = [ { id = "x", standing = "fine", )" + given + R"(, expected = 1.0 } ])",
       "agrees, disagrees, not_yet_run"},
      {"unknown provenance", "unknown-word",
       group + R"(check = [ { id = "x", provenance = "somewhere", )" + given + R"(, expected = 1.0 } ])",
       "published, second_hand"},
      {"disagreeing without a reason", "missing-reason",
       group + R"(check = [ { id = "x", standing = "disagrees", )" + given + R"(, expected = 1.0 } ])",
       "must say why"},
      {"not yet run without a reason", "missing-reason",
       group + R"(check = [ { id = "x", standing = "not_yet_run", )" + given + R"(, expected = 1.0 } ])",
       "must say why"},
      {"tolerance without a reason", "missing-key", R"(
[[group]]
quantity = "sounding.apparent_resistivity_ohm_m"
source = "a-handbook"
where = "page 1"
provenance = "published"
tolerance_ratio = 0.001
check = [ { id = "x", given = { spacing_m = 1.0, resistance_ohm = 10.0 }, expected = 1.0 } ])",
       "the row says no 'because'"},
      {"negative tolerance", "wrong-kind",
       group + R"(check = [ { id = "x", tolerance_ratio = -0.1, )" + given + R"(, expected = 1.0 } ])",
       "not negative"},
      {"expected value of a wrong kind", "wrong-kind",
       group + R"(check = [ { id = "x", )" + given + R"(, expected = true } ])",
       "a number, a text or a list"},
      {"expected list without values", "wrong-kind",
       group + R"(check = [ { id = "x", )" + given + R"(, expected = [] } ])", "a number, a text or a list"},
      {"group without rows", "no-rows", group, "there is no 'check'"},
      {"empty list of rows", "no-rows", group + "check = []", "there is no 'check'"},
      {"file without groups", "no-rows", "source = \"a-handbook\"", "there is no 'group'"},
  };
  for (const Mistake& mistake : mistakes) {
    DYNAMIC_SECTION(mistake.name) {
      const Reading reading = read_rows(mistake.rows + "\n");
      INFO(all_text(reading.diagnostics));
      CHECK(reading.diagnostics.has_errors());
      CHECK(has_code(reading.diagnostics, mistake.code));
      CHECK(all_text(reading.diagnostics).find(mistake.says) != std::string::npos);
      CHECK(all_text(reading.diagnostics).find("rows.toml:") != std::string::npos);
      const bool is_key_outside_the_row = mistake.name == std::string("unknown key of a group") ||
                                          mistake.name == std::string("unknown key of the file");
      CHECK(reading.book.checks.size() == (is_key_outside_the_row ? 1 : 0));
      for (const Diagnostic& diagnostic : reading.diagnostics.all())
        CHECK(diagnostic.at.line > 0);
    }
  }
}

TEST_CASE("All mistakes of a book come in one reading, and an id may stand only once over all files") {
  const Folder folder;
  folder.write("sources.toml", good_sources);
  const std::string row = R"(check = [ { id = "x", given = { resistance_ohm = 10.0 }, expected = 62.8 } ])";
  folder.write("room/first.toml", good_group + row + "\n");
  folder.write("room/second.toml", good_group + row + "\n");
  folder.write("room/third.toml", "[broken\n");
  Diagnostics diagnostics;
  const CheckBook book = read_check_book(folder.path(), diagnostics);
  INFO(all_text(diagnostics));
  CHECK(book.checks.size() == 1);
  CHECK(has_code(diagnostics, "duplicate-id"));
  CHECK(all_text(diagnostics).find("room/first.toml:10") != std::string::npos);
  CHECK(all_text(diagnostics).find("third.toml:1") != std::string::npos);
}

TEST_CASE("A folder that is not there, or that holds no rows, is an error and no empty success") {
  Diagnostics diagnostics;
  CHECK(read_check_book("/no/such/folder", diagnostics).checks.empty());
  CHECK(has_code(diagnostics, "no-folder"));

  const Folder folder;
  folder.write("sources.toml", good_sources);
  Diagnostics empty;
  CHECK(read_check_book(folder.path(), empty).checks.empty());
  CHECK(has_code(empty, "no-rows"));
}

TEST_CASE("A source needs its title, how it was seen and whether it was read, and may stand only once") {
  const std::string row = std::string(good_group) +
                          R"(check = [ { id = "x", given = { resistance_ohm = 10.0 }, expected = 62.8 } ])";
  const std::string whole = good_sources;
  CHECK(
      has_code(read_rows(row, whole + "[[source]]\nid = \"b\"\ntitle = \"B\"\nwas_read = true\n").diagnostics,
               "missing-key"));
  CHECK(has_code(
      read_rows(row, whole + "[[source]]\nid = \"b\"\ntitle = \"B\"\nhow_seen = \"x\"\n").diagnostics,
      "missing-key"));
  CHECK(has_code(
      read_rows(row,
                whole + "[[source]]\nid = \"a-handbook\"\ntitle = \"B\"\nhow_seen = \"x\"\nwas_read = true\n")
          .diagnostics,
      "duplicate-id"));
  CHECK(has_code(
      read_rows(
          row, whole + "[[source]]\nid = \"b\"\ntitle = \"B\"\nhow_seen = \"x\"\nwas_read = true\nseen = 1\n")
          .diagnostics,
      "unknown-key"));
}

TEST_CASE("The table of checkable quantities names each once, with its unit and the keys it takes") {
  std::vector<std::string> names;
  for (const CheckableQuantity& quantity : checkable_quantities()) {
    INFO(quantity.name);
    CHECK_FALSE(quantity.unit.empty());
    names.push_back(quantity.name);
  }
  CHECK(names.size() > 40);
  std::sort(names.begin(), names.end());
  CHECK(std::adjacent_find(names.begin(), names.end()) == names.end());
}

TEST_CASE("Provenance and standing are printed as they are written in the rows") {
  CHECK(provenance_name(Provenance::published) == "published");
  CHECK(provenance_name(Provenance::same_formula) == "same_formula");
  CHECK(standing_name(Standing::not_yet_run) == "not_yet_run");
}
