// SPDX-License-Identifier: MIT
#include "documents.hpp"

#include <ohmroot/text/csv.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <cstdio>
#include <random>

using namespace ohmroot;
using namespace ohmroot::text;
using namespace text_tests;

namespace {

struct Reading {
  Sheet sheet;
  Diagnostics diagnostics{"survey.csv"};
};

Reading read(std::string_view bytes) {
  Reading reading;
  reading.sheet = read_sheet(bytes, reading.diagnostics);
  return reading;
}

/// All cells of a sheet: rows joined by '/', cells by '|'.
std::string cells_of(const Sheet& sheet) {
  std::string all;
  for (const Row& row : sheet.rows) {
    for (const Cell& cell : row.cells)
      all.append(cell.text).append("|");
    all += "/";
  }
  return all;
}

CellNumber number(std::string_view text) {
  return read_cell_number({std::string(text), {}}, false);
}

}  // namespace

// Source: RFC 4180 (2005), section 2, the examples of rules 1 to 7; from memory.
TEST_CASE("the examples of RFC 4180 are cut as it says", "[csv]") {
  CHECK(cells_of(read("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n").sheet) == "aaa|bbb|ccc|/zzz|yyy|xxx|/");
  CHECK(cells_of(read("aaa,bbb,ccc\r\nzzz,yyy,xxx").sheet) == "aaa|bbb|ccc|/zzz|yyy|xxx|/");
  CHECK(cells_of(read("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx").sheet) == "aaa|bbb|ccc|/zzz|yyy|xxx|/");
  CHECK(cells_of(read("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx").sheet) ==
        "aaa|b\r\nbb|ccc|/zzz|yyy|xxx|/");
  CHECK(cells_of(read("\"aaa\",\"b\"\"bb\",\"ccc\"").sheet) == "aaa|b\"bb|ccc|/");
}

TEST_CASE("a sheet as a spreadsheet exports it is cut into its cells", "[csv]") {
  const auto [sheet, diagnostics] = read("\xEF\xBB\xBFSite: Meadow, north;;;;\r\n"
                                         "Operator: nobody;;;;\r\n"
                                         "\r\n"
                                         "# comment; with \"a quote\r\n"
                                         "a (m);R (ohm);note;;\r\n"
                                         "1,0;12,4;dry;;\r\n"
                                         " 2,0 ;1,25E+01;\"wet; cold\";;\r\n"
                                         ";;;;\r\n"
                                         "\"# quoted; comment\";;;;\r\n"
                                         "4;>1999;;;");
  CHECK(diagnostics.all().empty());
  CHECK(sheet.separator == ';');
  CHECK(sheet.has_decimal_comma);
  CHECK(sheet.encoding == "UTF-8");
  CHECK(cells_of(sheet) == "Site: Meadow, north|||/Operator: nobody|||/a (m)|R (ohm)|note|/1,0|12,4|dry|/"
                           "2,0|1,25E+01|wet; cold|/4|>1999||/");
  REQUIRE(sheet.rows.size() == 6);
  CHECK(sheet.rows[2].line == 5);
  CHECK(sheet.rows[5].line == 10);
  CHECK(is_at(sheet.rows[4].cells[0].at, 7, 2));
  CHECK(is_at(sheet.rows[4].cells[2].at, 7, 16));
}

TEST_CASE("line ends LF, CRLF and CR count alike", "[csv]") {
  for (const std::string_view end : {"\n", "\r\n", "\r"}) {
    const std::string e(end);
    std::string text("a,R");
    text.append(e).append(e).append("1,\"x").append(e).append("y\"").append(e).append("2,3");
    const Sheet sheet = read(text).sheet;
    REQUIRE(sheet.rows.size() == 3);
    CHECK(sheet.rows[1].line == 3);
    CHECK(sheet.rows[2].line == 5);
    CHECK(is_at(sheet.rows[2].cells[1].at, 5, 3));
  }
}

TEST_CASE("the separator is the one that cuts most rows alike", "[csv]") {
  CHECK(read("a,R\n1,2.5\n2,3.5\n").sheet.separator == ',');
  CHECK(read("a;R\n1,5;2,5\n2,5;3,5\n").sheet.separator == ';');
  CHECK(read("a\tR, ohm\n1\t2.5\n2\t3.5\n").sheet.separator == '\t');
  CHECK(read("a|R\n1|2.5\n").sheet.separator == '|');
  CHECK(read("a,R,note\n1,2.5,dry; sunny\n2,3.5,wet; cold\n4,5,\n").sheet.separator == ',');
  CHECK(read("one column\n1\n2\n").sheet.separator == ',');
}

TEST_CASE("a decimal comma needs a separator that is none, no decimal point, and a clear case", "[csv]") {
  CHECK(read("a;R\n1;2,5\n").sheet.has_decimal_comma);
  CHECK(read("a;R\n0,125;2\n").sheet.has_decimal_comma);
  CHECK(read("a;R\n1;2,5 ohm\n2;>19,99\n").sheet.has_decimal_comma);
  CHECK_FALSE(read("a;R\n1;1,234\n2;2,500\n").sheet.has_decimal_comma);  // thousands or thousandths
  CHECK_FALSE(read("a,R\n1,\"2,5\"\n").sheet.has_decimal_comma);
  CHECK_FALSE(read("a;R\n1;2\n").sheet.has_decimal_comma);
  const auto [sheet, diagnostics] = read("a;R\n1;2,5\n2;3.5\n");
  CHECK_FALSE(sheet.has_decimal_comma);
  REQUIRE(diagnostics.all().size() == 1);
  CHECK(diagnostics.all()[0].severity == Severity::warning);
  CHECK(diagnostics.all()[0].code == "mixed-decimal-marks");
  CHECK(is_at(diagnostics.all()[0].at, 2, 3));
  CHECK(diagnostics.all()[0].message.find("\"3.5\" on line 3") != std::string::npos);
}

TEST_CASE("what is not UTF-8 is read as Windows-1252, with a note", "[csv]") {
  const auto [sheet, diagnostics] = read("a (m);R (m\xB7"
                                         "100)\n1;2\n2;5 \xB5V\n");
  CHECK(sheet.encoding == "Windows-1252");
  CHECK(sheet.rows.at(0).cells.at(1).text == "R (m\xC2\xB7"
                                             "100)");
  CHECK(sheet.rows.at(2).cells.at(1).text == "5 \xC2\xB5V");
  REQUIRE(diagnostics.all().size() == 1);
  CHECK(diagnostics.all()[0].severity == Severity::note);
  CHECK(is_at(diagnostics.all()[0].at, 1, 11));
  CHECK_FALSE(diagnostics.has_errors());
}

TEST_CASE("binary data and quotes that never close are located errors", "[csv]") {
  CHECK(only_error(read(std::string("PK\x03\x04\0", 5)).diagnostics) ==
        "survey.csv:1:3: error: the file holds binary data\n  hint: save the sheet as CSV (UTF-8)");
  CHECK(only_error(read(std::string("\xFF\xFE"
                                    "a\0,\0",
                                    6))
                       .diagnostics)
            .find("binary data") != std::string::npos);
  CHECK(only_error(read("a,R\n1,\"2.5\n2,3\n").diagnostics) ==
        "survey.csv:2:3: error: the quote that opens here is never closed\n"
        "  hint: close it, or write the cell without quotes");
}

TEST_CASE("sheets beyond all measure are refused without filling the memory", "[csv]") {
  CHECK(only_error(read(std::string("x").append(20'000, ',').append("y")).diagnostics)
            .rfind("survey.csv:1:1: error: ", 0) == 0);
  const std::string huge((std::size_t{64} << 20) + 1, ' ');
  CHECK(only_error(read(huge).diagnostics).rfind("survey.csv: error: the sheet is larger than 64 MiB", 0) ==
        0);
}

TEST_CASE("an empty sheet has no rows and no errors", "[csv]") {
  for (const std::string_view text : {"", "\n\r\n", "\xEF\xBB\xBF", " \n", "# only a comment"}) {
    const auto [sheet, diagnostics] = read(text);
    CHECK(sheet.rows.empty());
    CHECK(diagnostics.all().empty());
  }
}

TEST_CASE("a cell's number is read with the unit that stands in it", "[csv]") {
  struct Expected {
    std::string_view text;
    double value;
    std::string_view unit;
  };
  for (const auto& [text, value, unit] :
       {Expected{"12.4", 12.4, ""}, Expected{"+5", 5.0, ""}, Expected{"-0.5", -0.5, ""},
        Expected{"\xE2\x88\x92"
                 "5",
                 -5.0, ""},
        Expected{"12.", 12.0, ""}, Expected{".5", 0.5, ""}, Expected{"1.2E+01", 12.0, ""},
        Expected{"1e-3", 1e-3, ""}, Expected{"1.2k", 1.2, "k"}, Expected{"12.4 \xCE\xA9", 12.4, "\xCE\xA9"},
        Expected{"12.4\xC2\xA0ohm", 12.4, "ohm"}, Expected{"5 %", 5.0, "%"},
        Expected{"100 ohm m", 100.0, "ohm m"}, Expected{"3 (ohm)", 3.0, "(ohm)"},
        Expected{"2 mm2", 2.0, "mm2"},
        Expected{"1\xC2\xA0"
                 "234.5",
                 1234.5, ""},
        Expected{"1\xE2\x80\xAF"
                 "234",
                 1234.0, ""},
        Expected{"1'234'567", 1234567.0, ""},
        Expected{"1\xE2\x80\x99"
                 "234 ohm",
                 1234.0, "ohm"}}) {
    CAPTURE(text);
    const CellNumber found = number(text);
    CHECK(found.kind == CellNumber::Kind::number);
    CHECK(found.value == value);
    CHECK(found.unit == unit);
    CHECK(found.problem.empty());
  }
}

TEST_CASE("an over-range cell is a bound, never a reading and never 0 ohm", "[csv]") {
  for (const std::string_view text :
       {"OL", "ol", "O.L", "O.L.", "+OL", "OVER", "Overload", "over range", "OFL"}) {
    CAPTURE(text);
    CHECK(number(text).kind == CellNumber::Kind::over_range);
    CHECK(number(text).value == 0.0);  // no bound stated
  }
  CHECK(number("OL kohm").unit == "kohm");
  CHECK(number(">1999").kind == CellNumber::Kind::over_range);
  CHECK(number(">1999").value == 1999.0);
  CHECK(number("> 2 kohm").value == 2.0);
  CHECK(number("> 2 kohm").unit == "kohm");
  CHECK(number(">=20").value == 20.0);
  CHECK(number(">1,999").kind == CellNumber::Kind::not_a_number);
  CHECK(number(">lots").kind == CellNumber::Kind::not_a_number);
}

TEST_CASE("empty cells are told from numbers and from words", "[csv]") {
  for (const std::string_view text : {"", "-", "--", "n/a", "N/A", "\xE2\x80\x93", "\xC2\xA0"})
    CHECK(number(text).kind == CellNumber::Kind::empty);
}

TEST_CASE("what is no number says what it is", "[csv]") {
  for (const std::string_view text : {"NaN",
                                      "inf",
                                      "abc",
                                      "12:30",
                                      "2024-03-01",
                                      "01.03.2024",
                                      "1.2.3",
                                      "0x10",
                                      "1 234",
                                      "1'23",
                                      "12.4*",
                                      "12-3",
                                      "1/2",
                                      "--5",
                                      "+",
                                      "1e999",
                                      "=A1",
                                      "12 rods driven by hand",
                                      "\xC2\xA0"
                                      "1\xC2\xA0"
                                      "23",
                                      "5, ",
                                      "<0.5"}) {
    CAPTURE(text);
    CHECK(number(text).kind == CellNumber::Kind::not_a_number);
    CHECK(number(text).problem.find('"') == 0);
  }
  CHECK(number("1,234").problem.find("may mean one number or a thousand times as much") != std::string::npos);
  CHECK(number("1,24").problem.find("has a comma; write a decimal point") != std::string::npos);
  CHECK(number("<0.5").problem.find("under range") != std::string::npos);
}

TEST_CASE("in a sheet of decimal commas the comma is the mark and the point is not", "[csv]") {
  const auto comma = [](std::string_view text) { return read_cell_number({std::string(text), {}}, true); };
  CHECK(comma("1,24").value == 1.24);
  CHECK(comma("1,234").value == 1.234);
  CHECK(comma("1,2E+01 ohm").value == 12.0);
  CHECK(comma(">19,99").value == 19.99);
  CHECK(comma("1.5").problem.find("decimal point in a sheet of decimal commas") != std::string::npos);
  CHECK(comma("1.234,5").kind == CellNumber::Kind::not_a_number);
  CHECK(comma("1,234,567").kind == CellNumber::Kind::not_a_number);
}

TEST_CASE("cells written by RFC 4180 read back the same with any separator", "[csv][property]") {
  std::mt19937_64 random(4180);
  const auto below = [&](std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
  };
  const std::array<std::string_view, 10> pieces{"a", "B", "\"", ";", ",", "\t", "|", "\n", "\xC3\xA9", "7"};
  for (int draw = 0; draw < 2'000; ++draw) {
    const char separator = std::string_view(",;\t|")[below(4)];
    const std::size_t width = 2 + below(3);
    std::string text;
    std::string expected;
    for (std::size_t row = 0; row < 3 + below(3); ++row) {
      for (std::size_t column = 0; column < width; ++column) {
        std::string cell = "x";  // never blank at the ends: blanks there are stripped
        for (std::size_t i = below(5); i > 0; --i)
          cell += pieces[below(pieces.size())];
        cell += "x";
        if (column > 0) text += separator;
        text += '"';
        for (const char c : cell)
          text.append(c == '"' ? 2 : 1, c);
        text += '"';
        expected.append(cell).append("|");
      }
      text += below(2) == 0 ? "\r\n" : "\n";
      expected += "/";
    }
    CAPTURE(draw, text);
    const auto [sheet, diagnostics] = read(text);
    REQUIRE(diagnostics.all().empty());
    REQUIRE(sheet.separator == separator);
    REQUIRE(cells_of(sheet) == expected);
  }
}

TEST_CASE("a number reads the same with point, with comma and with marks between thousands",
          "[csv][property]") {
  std::mt19937_64 random(26);
  for (int draw = 0; draw < 5'000; ++draw) {
    const double value =
        std::round(std::exp(std::uniform_real_distribution<double>(-5.0, 20.0)(random)) * 1e4) / 1e4;
    char plain[64];
    std::snprintf(plain, sizeof plain, "%.4f", value);
    std::string with_comma(plain);
    with_comma[with_comma.find('.')] = ',';
    std::string with_marks(plain);
    for (std::size_t at = with_marks.find('.'); at > 3; at -= 3)
      with_marks.insert(with_marks.begin() + static_cast<std::ptrdiff_t>(at - 3), '\'');
    CAPTURE(plain, with_comma, with_marks);
    REQUIRE(number(plain).value == value);
    REQUIRE(read_cell_number({with_comma, {}}, true).value == value);
    REQUIRE(number(with_marks).value == value);
  }
}

TEST_CASE("any bytes are cut without a crash and every cell lies inside them", "[csv][property]") {
  const std::string good = "\xEF\xBB\xBF"
                           "a (m);R\r\n1,5;12,4\r\n2;\"x \"\"y\"\";\xC2\xB5\"\r\n4;>1999;;\r\n# c\r\n";
  const std::array<std::string_view, 14> pieces{";",     ",",        "\"",   "\n", "\r", "#",  ".",
                                                "1'234", "\xC2\xA0", "\xFF", "\t", "OL", "e9", "-"};
  std::mt19937_64 random(11);
  const auto below = [&](std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
  };
  for (int draw = 0; draw < 20'000; ++draw) {
    std::string text = good;
    for (std::size_t change = 0; change < 1 + below(4); ++change)
      text.replace(below(text.size()), below(4), pieces[below(pieces.size())]);
    CAPTURE(draw, text);
    const auto [sheet, diagnostics] = read(text);
    REQUIRE(all_lie_inside(diagnostics, text));
    for (const Row& row : sheet.rows) {
      for (const Cell& cell : row.cells) {
        REQUIRE(cell.at.line >= row.line);
        const CellNumber found = read_cell_number(cell, sheet.has_decimal_comma);
        REQUIRE(std::isfinite(found.value));
        REQUIRE((found.kind == CellNumber::Kind::not_a_number) == !found.problem.empty());
      }
    }
  }
}
