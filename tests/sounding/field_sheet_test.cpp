// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <string>

using namespace ohmroot::sounding;
using ohmroot::Diagnostic;
using ohmroot::Diagnostics;
using ohmroot::Severity;

namespace {

struct Outcome {
  FieldSheet sheet;
  Diagnostics diagnostics{"line1.csv"};
};

Outcome read(const std::string& text, const SheetDefaults& defaults = {}) {
  Outcome outcome;
  outcome.sheet = read_field_sheet(text, defaults, outcome.diagnostics);
  for (const Diagnostic& found : outcome.diagnostics.all())
    UNSCOPED_INFO(to_text(found));
  return outcome;
}

std::vector<double> spacings_m(const FieldSheet& sheet) {
  std::vector<double> result;
  for (const FourPoleReading& reading : sheet.readings)
    result.push_back(plotted_spacing_m(reading));
  return result;
}

std::vector<double> resistances_ohm(const FieldSheet& sheet) {
  std::vector<double> result;
  for (const FourPoleReading& reading : sheet.readings)
    result.push_back(reading.resistance_ohm);
  return result;
}

bool are_close(const std::vector<double>& found, const std::vector<double>& expected) {
  UNSCOPED_INFO(Catch::Detail::stringify(found));
  return std::equal(found.begin(), found.end(), expected.begin(), expected.end(),
                    [](double a, double b) { return a == Approx(b).epsilon(1e-12); });
}

/// A good table of three rows in a given header.
bool is_read_as(const std::string& header, double spacing_m, double resistance_ohm) {
  const Outcome outcome = read(header + "\n2,20\n4,9\n8,4\n");
  return !outcome.diagnostics.has_errors() && outcome.sheet.readings.size() == 3 &&
         plotted_spacing_m(outcome.sheet.readings[0]) == Approx(spacing_m).epsilon(1e-12) &&
         outcome.sheet.readings[0].resistance_ohm == Approx(resistance_ohm).epsilon(1e-12);
}

const Diagnostic* find(const Diagnostics& diagnostics, Severity severity, const std::string& code) {
  const auto& all = diagnostics.all();
  const auto found = std::find_if(
      all.begin(), all.end(), [&](const Diagnostic& d) { return d.severity == severity && d.code == code; });
  return found == all.end() ? nullptr : &*found;
}

/// The sheet is refused with one error of this code at this place, and it tells how to mend it.
void check_error(const std::string& text, const std::string& code, ohmroot::Position at,
                 const std::string& words, const SheetDefaults& defaults = {}) {
  const Outcome outcome = read(text, defaults);
  CAPTURE(text, code);
  const Diagnostic* error = find(outcome.diagnostics, Severity::error, code);
  REQUIRE(error != nullptr);
  CHECK(error->file == "line1.csv");
  CHECK(error->at.line == at.line);
  CHECK(error->at.column == at.column);
  CHECK_THAT(error->message, Catch::Contains(words));
  CHECK_FALSE(error->hint.empty());
}

bool has_note(const FieldSheet& sheet, const std::string& words) {
  return std::any_of(sheet.notes.begin(), sheet.notes.end(),
                     [&](const std::string& note) { return note.find(words) != std::string::npos; });
}

}  // namespace

TEST_CASE("a plain sheet gives its readings", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm)\n1,20\n2,9.5\n4,4.1\n");
  CHECK(outcome.diagnostics.all().empty());
  CHECK(are_close(spacings_m(outcome.sheet), {1, 2, 4}));
  CHECK(are_close(resistances_ohm(outcome.sheet), {20, 9.5, 4.1}));
  CHECK(outcome.sheet.data_row_count == 3);
  CHECK(outcome.sheet.readings[1].array == Array::wenner);
  CHECK(outcome.sheet.readings[1].sheet_line == 3);
  CHECK(outcome.sheet.readings[1].relative_error_ratio == 0.05);
  CHECK(has_note(outcome.sheet, "UTF-8"));
  CHECK(has_note(outcome.sheet, "\"a (m)\" as spacing"));
}

TEST_CASE("a sheet as a continental spreadsheet exports it is read", "[sounding]") {
  // byte-order mark, CRLF, semicolons, decimal commas, preamble, row of units, trailing separators, totals
  const Outcome outcome = read("\xEF\xBB\xBFSite;Yard north;;;\r\nDate;09/09/2026;;;\r\n;;;;\r\n"
                               "AB/2;MN/2;V;I;remark\r\n[m];[m];[mV];[mA];\r\n"
                               "1,5;0,4;452,8;100;\r\n4;0,4;103,7;200;dry\r\n4;1;139,8;100;MN widened\r\n"
                               "Mean;;232,1;133,3;\r\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  REQUIRE(outcome.sheet.readings.size() == 3);
  CHECK(outcome.sheet.readings[0].array == Array::schlumberger);
  CHECK(outcome.sheet.readings[0].half_current_spacing_m == 1.5);
  CHECK(outcome.sheet.readings[0].half_potential_spacing_m == 0.4);
  CHECK(are_close(resistances_ohm(outcome.sheet), {4.528, 0.5185, 1.398}));
  CHECK(outcome.sheet.data_row_count == 3);
  REQUIRE(outcome.sheet.skipped.size() == 1);
  CHECK(outcome.sheet.skipped[0].line == 9);
  CHECK_THAT(outcome.sheet.skipped[0].why, Catch::Contains("never averaged"));
  CHECK(find(outcome.diagnostics, Severity::warning, "skipped-row") != nullptr);
  CHECK(has_note(outcome.sheet, "decimal comma"));
  CHECK(has_note(outcome.sheet, "Site Yard north"));
  CHECK(has_note(outcome.sheet, "\"remark\""));
}

TEST_CASE("columns are known by the names and units that people write", "[sounding]") {
  for (const std::string header :
       {"a (m),R (ohm)", "A [M],r [OHM]", "spacing / m,resistance / ohm",
        "Electrode Spacing (metres),Resistance (ohms)", "a_m,resistance_ohm", "\"a, m\",\"R, ohm\"",
        "Pin spacing a (m),Measured R (\xCE\xA9)", "a m,R \xE2\x84\xA6", "a (m),R (?)", "a (m),ohms",
        "Stake-Spacing (Meter),Reading (Ohm)", "a (m),V/I (ohm)", "a (m),R"}) {
    CAPTURE(header);
    CHECK(is_read_as(header, 2.0, 20.0));
  }
  CHECK(is_read_as("a (ft),R (ohm)", 2.0 * 0.3048, 20.0));
  CHECK(is_read_as("a (feet),R (mohm)", 2.0 * 0.3048, 0.020));
  CHECK(is_read_as("a (cm),R (k?)", 0.02, 20000.0));
  CHECK(is_read_as("a (cm),R (milliohm)", 0.02, 0.020));
}

TEST_CASE("an ohm sign that was lost in export is read as one, with a note", "[sounding]") {
  CHECK(has_note(read("a (m),R (?)\n1,20\n2,9\n").sheet, "ohm sign lost in export"));
  CHECK_FALSE(has_note(read("a (m),R (ohm)\n1,20\n2,9\n").sheet, "lost in export"));
}

TEST_CASE("V and I are divided, whatever their prefixes", "[sounding]") {
  CHECK(are_close(resistances_ohm(read("a (m),V (mV),I (mA)\n1,500,25\n2,450,50\n").sheet), {20, 9}));
  CHECK(are_close(resistances_ohm(read("a (m),V (V),I (mA)\n1,0.5,25\n2,0.45,50\n").sheet), {20, 9}));
  CHECK(are_close(resistances_ohm(read("a (m),U [V],I [A]\n1,0.5,0.025\n2,0.45,0.05\n").sheet), {20, 9}));
  CHECK(are_close(resistances_ohm(read("a (m),V (mV),I (uA)\n1,0.5,25\n2,0.45,50\n").sheet), {20, 9}));
}

TEST_CASE("AB and MN may be given whole or halved", "[sounding]") {
  for (const std::string text :
       {"AB/2 (m),MN/2 (m),R (ohm)\n10,1,2.5\n20,1,0.6\n", "AB (m),MN (m),R (ohm)\n20,2,2.5\n40,2,0.6\n",
        "AB/2 (m),MN (m),R (ohm)\n10,2,2.5\n20,2,0.6\n"}) {
    const Outcome outcome = read(text);
    CAPTURE(text);
    REQUIRE(outcome.sheet.readings.size() == 2);
    CHECK(outcome.sheet.readings[0].half_current_spacing_m == 10.0);
    CHECK(outcome.sheet.readings[0].half_potential_spacing_m == 1.0);
  }
}

TEST_CASE("AB of three MN throughout is a Wenner sounding, and Wenner needs it", "[sounding]") {
  const Outcome outcome = read("AB/2 (m),MN/2 (m),R (ohm)\n6,2,11.5\n12,4,5.29\n");
  CHECK(are_close(spacings_m(outcome.sheet), {4, 8}));
  CHECK(has_note(outcome.sheet, "a Wenner array"));
  check_error("AB/2 (m),MN/2 (m),R (ohm)\n6,2,11.5\n12,3,5.29\n", "not-wenner", {3, 1},
              "AB is three times MN", {.array = Array::wenner});
  CHECK(are_close(spacings_m(read("AB/2 (m),R (ohm)\n6,11.5\n12,5.29\n", {.array = Array::wenner}).sheet),
                  {4, 8}));
}

TEST_CASE("depth, error, traverse and array are taken from their columns, or from the defaults",
          "[sounding]") {
  const Outcome outcome =
      read("Traverse,Array,a (m),R (ohm),stake depth (cm),error (%)\n"
           "N-S,Wenner,2,9,10,3\nE-W,W,4,4,,\n",
           {.driven_depth_m = 0.15, .contact = StakeContact::insulated, .relative_error_ratio = 0.04});
  REQUIRE(outcome.sheet.readings.size() == 2);
  const FourPoleReading& first = outcome.sheet.readings[0];
  CHECK(first.traverse == "N-S");
  CHECK(first.driven_depth_m == Approx(0.1));
  CHECK(first.relative_error_ratio == Approx(0.03));
  CHECK(first.contact == StakeContact::insulated);
  const FourPoleReading& second = outcome.sheet.readings[1];
  CHECK(second.traverse == "E-W");
  CHECK(second.driven_depth_m == 0.15);
  CHECK(second.relative_error_ratio == 0.04);
  const Outcome in_ohm = read("a (m),R (ohm),sd (ohm)\n2,9,0.45\n");
  CHECK(in_ohm.sheet.readings.at(0).relative_error_ratio == Approx(0.05));
}

TEST_CASE("over range is a bound, never 0 and never a reading", "[sounding]") {
  const Outcome outcome = read("a (m),R (kohm)\n1,>1.999\n2,OL\n4,0.9\n8,0.5\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  CHECK(are_close(spacings_m(outcome.sheet), {4, 8}));
  REQUIRE(outcome.sheet.skipped.size() == 2);
  CHECK(outcome.sheet.skipped[0].is_over_range);
  CHECK(outcome.sheet.skipped[0].over_range_above_ohm == Approx(1999.0));
  CHECK(outcome.sheet.skipped[1].is_over_range);
  CHECK(outcome.sheet.skipped[1].over_range_above_ohm == 0.0);
  CHECK(outcome.sheet.data_row_count == 4);
  CHECK(find(outcome.diagnostics, Severity::warning, "over-range") != nullptr);

  const Outcome by_voltage = read("a (m),V (V),I (mA)\n1,>2,10\n2,1,50\n");
  REQUIRE(by_voltage.sheet.skipped.size() == 1);
  CHECK(by_voltage.sheet.skipped[0].over_range_above_ohm == Approx(200.0));
}

TEST_CASE("rows without a reading, remarks and sums are skipped by name, not in silence", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm),note\n1,20,\n2,,forgotten\n3,n/a,\nrained from here,,\n4,4.1,\n"
                               "average:,12,\n,,mean of two\nChecked by,nobody,\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  CHECK(are_close(spacings_m(outcome.sheet), {1, 4}));
  REQUIRE(outcome.sheet.skipped.size() == 6);
  CHECK(outcome.sheet.skipped[0].why == "no reading in it");
  CHECK(outcome.sheet.skipped[2].why == "no number in it");
  CHECK(outcome.sheet.data_row_count == 4);
  const auto warning_count =
      std::count_if(outcome.diagnostics.all().begin(), outcome.diagnostics.all().end(),
                    [](const Diagnostic& d) { return d.severity == Severity::warning; });
  CHECK(warning_count == 6);
}

TEST_CASE("a second table in the sheet is read by its own header", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm)\n1,20\n2,9\n\nLine 2\nR (ohm),a (cm)\n21,100\n9.4,200\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  CHECK(are_close(spacings_m(outcome.sheet), {1, 2, 1, 2}));
  CHECK(are_close(resistances_ohm(outcome.sheet), {20, 9, 21, 9.4}));
  CHECK(outcome.sheet.readings[0].traverse != outcome.sheet.readings[2].traverse);
}

TEST_CASE("units written into cells win over the header", "[sounding]") {
  CHECK(are_close(resistances_ohm(read("a (m),R (ohm)\n1,1.2k\n2,800\n3,450 mohm\n").sheet),
                  {1200, 800, 0.45}));
  CHECK(are_close(spacings_m(read("a (m),R (ohm)\n50 cm,20\n1 m,9\n").sheet), {0.5, 1.0}));
  check_error("a (m),R (ohm)\n1,20\n2,120 ohm m\n", "wrong-unit", {3, 3}, "may be in ohm, mohm or kohm");
  check_error("a (m),R (kohm)\n1,20\n2,1.2k\n", "wrong-unit", {3, 3}, "\"k\"");
}

TEST_CASE("an apparent resistivity alone is turned back only if the array is known", "[sounding]") {
  const std::string wenner = "a (m),rho (ohm m)\n1,125.6637061435917\n2,113.0973355292326\n";
  check_error(wenner, "array-unknown", {1, 7}, "not the array");
  const Outcome stated = read(wenner, {.array = Array::wenner, .driven_depth_m = 0.15});
  CHECK(are_close(resistances_ohm(stated.sheet), {20, 9}));  // the field formula knows no stake depth
  CHECK(stated.sheet.readings[0].driven_depth_m == 0.15);
  CHECK(has_note(stated.sheet, "computed back from the apparent resistivity"));
  CHECK(
      are_close(resistances_ohm(read("a (m),rho (ohm cm),array\n1,12566.37061435917,wenner\n").sheet), {20}));
  const Outcome schlumberger = read("AB/2 (m),MN/2 (m),rho (ohm m)\n40,5,102.23\n");
  CHECK(schlumberger.sheet.readings.at(0).resistance_ohm == Approx(102.23 / (std::numbers::pi * 157.5)));
  check_error("a (m),rho\n1,125\n", "no-unit", {1, 7}, "may be in ohm m or ohm cm", {.array = Array::wenner});
}

TEST_CASE("a resistivity beside R is compared with it, and R is used", "[sounding]") {
  const Outcome agreeing = read("a (m),R (ohm),rho (ohm m)\n1,20,125.7\n2,9,113.1\n");
  CHECK(agreeing.diagnostics.all().empty());
  // A public data set carries Wenner readings converted by 6 pi a: three times too high.
  const Outcome differing = read("a (m),R (ohm),rho (ohm m)\n1,20,377\n2,9,339.3\n");
  CHECK(find(differing.diagnostics, Severity::warning, "resistivity-mismatch") != nullptr);
  CHECK(has_note(differing.sheet, "in 2 rows"));
  CHECK(are_close(resistances_ohm(differing.sheet), {20, 9}));
}

TEST_CASE("a sheet that lacks a column is told which", "[sounding]") {
  check_error("", "no-header", {0, 0}, "no rows");
  check_error("hello\nworld\n", "no-header", {0, 0}, "no row names");
  check_error("x,R (ohm)\n1,20\n", "no-spacing-column", {1, 1}, "no spacing column");
  check_error("a (m),Q\n1,20\n", "no-reading-column", {1, 1}, "neither R nor V and I");
  check_error("a (m),V (mV)\n1,20\n", "no-reading-column", {1, 1}, "only one of V and I");
  check_error("a (m),R (ohm),R (ohm)\n1,20,21\n", "repeated-column", {1, 15}, "second column");
  check_error("a (m),R (ohm)\n", "no-readings", {0, 0}, "no reading that can be used");
}

TEST_CASE("a unit that is unknown or missing where it matters is an error at its column", "[sounding]") {
  check_error("a (yd),R (ohm)\n1,20\n", "wrong-unit", {1, 1}, "may be in m, cm, mm or ft");
  check_error("a (m),R (ohm m)\n1,20\n", "wrong-unit", {1, 7}, "\"ohm m\"");
  check_error("a (m),R (Mohm)\n1,20\n", "wrong-unit", {1, 7}, "\"Mohm\"");  // a milliohm in capitals
  check_error("a (m),V,I (mA)\n1,20,5\n", "no-unit", {1, 7}, "V, mV or uV");
  check_error("a (m),R (ohm),error\n1,20,5\n", "no-unit", {1, 15}, "% or ohm");
  const Outcome outcome = read("a,R\n1,20\n2,9\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  CHECK_THAT(find(outcome.diagnostics, Severity::warning, "no-unit")->message,
             Catch::Contains("metres are taken"));
}

TEST_CASE("a cell that is wrong is an error at its place, and all of them are found in one pass",
          "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm)\n1,20\n-2,9\n3,abc\n4,0\n5,-3\n,7\nx1,7\n8,nan\n0,1\n");
  CHECK(outcome.sheet.readings.size() == 1);
  std::vector<int> lines;
  for (const Diagnostic& found : outcome.diagnostics.all()) {
    if (found.severity == Severity::error) lines.push_back(found.at.line);
  }
  CHECK(lines == std::vector<int>{3, 4, 5, 6, 7, 8, 9, 10});
}

TEST_CASE("each kind of wrong cell says what was found, what is allowed and how to mend it", "[sounding]") {
  const std::string head = "a (m),R (ohm)\n1,20\n";
  check_error(head + "-2,9\n", "not-positive", {3, 1}, "spacing is \"-2\"; it must be greater than 0");
  check_error(head + "2,0\n", "not-positive", {3, 3}, "resistance is \"0\"; it must be greater than 0");
  check_error(head + "2,-9\n", "not-positive", {3, 3}, "resistance is \"-9\"");
  check_error(head + "2,twelve\n", "not-a-number", {3, 3}, "takes a resistance as a number");
  check_error(head + "2,NaN\n", "not-a-number", {3, 3}, "NaN");
  check_error(head + "2,inf\n", "not-a-number", {3, 3}, "inf");
  check_error(head + ",9\n", "missing-spacing", {3, 1}, "a reading but no spacing");
  check_error(head + "OL,9\n", "not-a-number", {3, 1}, "cannot be over range");
  check_error(head + "2,1e12\n", "implausible", {3, 3}, "is not from");
  check_error("AB/2 (m),MN/2 (m),R (ohm)\n1,5,20\n", "wrong-order", {2, 3}, "MN must lie inside AB");
  check_error("AB/2 (m),MN/2 (m),R (ohm)\n1,,20\n", "missing-spacing", {2, 1}, "needs both AB/2 and MN/2");
  check_error("a (m),V (mV),I (mA)\n1,20,\n", "missing-reading", {2, 1}, "has V but not I");
  check_error("a (m),R (ohm),depth (cm)\n1,20,-5\n", "not-positive", {2, 6}, "at least 0");
  check_error("a (m),R (ohm),error (%)\n1,20,150\n", "implausible", {2, 6}, "below 100 %");
  check_error("a (m),R (ohm),array\n1,20,square\n", "array-unknown", {2, 6}, "Wenner beta, Wenner gamma");
  check_error("a (m),R (ohm)\n1,20\n", "missing-spacing", {2, 1}, "needs both AB/2 and MN/2",
              {.array = Array::schlumberger});
}

TEST_CASE("one reading is allowed, and warned of", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm)\n2,9\n");
  CHECK_FALSE(outcome.diagnostics.has_errors());
  CHECK(outcome.sheet.readings.size() == 1);
  CHECK_THAT(find(outcome.diagnostics, Severity::warning, "one-reading")->message,
             Catch::Contains("says nothing of layers"));
}

TEST_CASE("stakes deeper than a fifth of the spacing are warned of", "[sounding]") {
  const Outcome outcome = read("a (m),R (ohm),depth (m)\n1,20,0.25\n2,9,0.25\n");
  const Diagnostic* warning = find(outcome.diagnostics, Severity::warning, "deep-stakes");
  REQUIRE(warning != nullptr);
  CHECK(warning->at.line == 2);
  CHECK(warning->at.column == 6);
  CHECK(outcome.sheet.readings.size() == 2);
}

TEST_CASE("defaults that cannot be are refused by name", "[sounding]") {
  Diagnostics diagnostics;
  CHECK_THROWS_AS(read_field_sheet("", {.driven_depth_m = -1.0}, diagnostics), ohmroot::DomainError);
  CHECK_THROWS_AS(read_field_sheet("", {.relative_error_ratio = 0.0}, diagnostics), ohmroot::DomainError);
}

TEST_CASE("binary data and an open quote stop the reading with the reader's own error", "[sounding]") {
  const Outcome outcome = read(std::string("a (m),R (ohm)\n1,\0\n", 19));
  CHECK(outcome.diagnostics.has_errors());
  CHECK(outcome.sheet.readings.empty());
}

TEST_CASE("whatever stands in a sheet, each reading that comes out can be used", "[sounding][property]") {
  const std::vector<std::string> pieces{
      "a (m)",      "R (ohm)", "AB/2", "MN/2", "V (mV)", "I (mA)", "rho (ohm m)", "error (%)",
      "depth (cm)", "array",   "1",    "-2",   "3.5",    "1e9",    "1e-300",      "nan",
      ">99",        "OL",      "12k",  "?",    "mean",   "Wenner", "\xCE\xA9",    "\xFF",
      "(",          "[m]",     "",     "0",    "x",      "\"q\""};
  std::mt19937_64 random(99);
  const auto any = [&](std::size_t count) { return static_cast<std::size_t>(random() % count); };
  std::size_t reading_count = 0;
  for (int trial = 0; trial < 3000; ++trial) {
    std::string text = trial % 2 == 0 ? "a (m),R (ohm),error (%)\n" : "AB/2 [m],MN/2 [m],V (mV),I (mA)\n";
    const std::size_t width = trial % 2 == 0 ? 3 : 4;
    for (std::size_t row = any(6) + 1; row > 0; --row) {
      for (std::size_t column = 0; column < width; ++column) {
        const bool is_good = any(10) < 7;
        text += is_good ? std::to_string(9 - 2 * column) : pieces[any(pieces.size())];
        text += column + 1 < width ? "," : "\n";
      }
    }
    Diagnostics diagnostics;
    const FieldSheet sheet = read_field_sheet(text, {}, diagnostics);
    for (const FourPoleReading& reading : sheet.readings) {
      const double apparent_ohm_m = apparent_resistivity_ohm_m(reading);
      CHECK(std::isfinite(apparent_ohm_m));
      CHECK(apparent_ohm_m > 0.0);
      CHECK(reading.relative_error_ratio > 0.0);
      CHECK(reading.relative_error_ratio <= 1.0);
      ++reading_count;
    }
    CHECK((!sheet.readings.empty() || diagnostics.has_errors()));
  }
  CHECK(reading_count > 1000);
}
