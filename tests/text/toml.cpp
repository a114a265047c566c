// SPDX-License-Identifier: MIT
#include "documents.hpp"

#include <ohmroot/text/json.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <locale>
#include <random>

using namespace ohmroot;
using namespace ohmroot::text;
using namespace text_tests;

// Source of what is valid: TOML v1.0.0 (toml.io, 2021), sections named in the tests; from memory.

TEST_CASE("a site file is read into a tree with the position of every key and value", "[toml]") {
  const Value site = toml("# invented\n"
                          "title = \"Meadow\"  # c\n"
                          "[soil]\n"
                          "resistivity = [\"50 ohm m\", \"80 ohm m\"]\n"
                          "[[loads]]\n"
                          "current = \"32 A\"\n"
                          "count = 2\n"
                          "[[loads]]\n"
                          "  is_added = true\n"
                          "power_factor = 0.95\n");
  CHECK(site.find("title")->text() == "Meadow");
  CHECK(is_at(site.find("title")->at(), 2, 9));
  CHECK(is_at(site.find("title")->key_at(), 2, 1));
  const Value& soil = *site.find("soil");
  CHECK(is_at(soil.at(), 3, 1));
  CHECK(is_at(soil.key_at(), 3, 2));
  CHECK(soil.find("resistivity")->array().at(1).text() == "80 ohm m");
  CHECK(is_at(soil.find("resistivity")->array().at(1).at(), 4, 28));
  const Array& loads = site.find("loads")->array();
  REQUIRE(loads.size() == 2);
  CHECK(is_at(loads[0].at(), 5, 1));
  CHECK(loads[0].find("count")->number() == 2.0);
  CHECK(is_at(loads[1].at(), 8, 1));
  CHECK(loads[1].find("is_added")->boolean());
  CHECK(is_at(loads[1].find("is_added")->at(), 9, 14));
  CHECK(is_at(loads[1].find("is_added")->key_at(), 9, 3));
  CHECK(loads[1].find("power_factor")->number() == 0.95);
}

TEST_CASE("keys keep the order of the file", "[toml]") {
  const Value site = toml("z = 1\na = {y = 1, b = 2}\nm.q = 1\nm.d = 2\n[k.x]\n[c]\n[k.a]\n");
  std::string order;
  for (const auto& [key, member] : site.object())
    order += key;
  CHECK(order == "zamkc");
  CHECK(site.find("a")->object().front().first == "y");
  CHECK(site.find("m")->object().front().first == "q");
  CHECK(site.find("k")->object().front().first == "x");
}

TEST_CASE("an empty file is an empty table; a byte-order mark and CRLF are read", "[toml]") {
  CHECK(toml("").object().empty());
  CHECK(toml("\xEF\xBB\xBF").object().empty());
  const Value site = toml("\xEF\xBB\xBF"
                          "a = 1\r\nb = 2");
  CHECK(site.find("b")->number() == 2.0);
  CHECK(is_at(site.find("a")->at(), 1, 5));
  CHECK(is_at(site.find("b")->at(), 2, 5));
}

TEST_CASE("strings of all four kinds are read, other scripts within them", "[toml]") {  // section "String"
  const Value site = toml("a = \"caf\xC3\xA9 \\u00B1 \\\"x\\\" # no comment\"\n"
                          "b = 'C:\\temp'\n"
                          "c = \"\"\"\nfirst \"quoted\" \\\n   same \xCE\xA9\"\"\"\"\n"
                          "d = '''\nraw ' \\\n'''\n"
                          "# comment with \xE2\x80\x9Ctypographic\xE2\x80\x9D quotes and \"one\n"
                          "\"quoted \xC3\xA9 key\" = 1\n");
  CHECK(site.find("a")->text() == "caf\xC3\xA9 \xC2\xB1 \"x\" # no comment");
  CHECK(site.find("b")->text() == "C:\\temp");
  CHECK(site.find("c")->text() == "first \"quoted\" same \xCE\xA9\"");
  CHECK(site.find("d")->text() == "raw ' \\\n");
  CHECK(site.find("quoted \xC3\xA9 key")->number() == 1.0);
}

TEST_CASE("numbers are read wherever they stand in the file", "[toml]") {  // sections "Integer", "Float"
  struct Row {
    std::string_view written;
    double value;
  };
  // toml++ reads in blocks of 32 characters: each number is moved across the borders of a block.
  for (std::size_t shift = 0; shift < 70; ++shift) {
    for (const Row row :
         {Row{"1.5e3", 1500.0}, Row{"+1_000.5", 1000.5}, Row{"-2E-02", -0.02}, Row{"1_0", 10.0},
          Row{"0x1F", 31.0}, Row{"0b101", 5.0}, Row{"-9223372036854775808", -9223372036854775808.0}}) {
      std::string text = "# ";
      text.append(shift, ' ').append("\na = ").append(row.written).append("\n");
      const Value site = toml(text);
      CHECK(site.find("a")->number() == row.value);
    }
  }
}

TEST_CASE("a value with its unit but without quotes says how to mend it", "[toml]") {
  CHECK(toml_error("[rod]\nlength = 2.4 m\n") == "site.toml:2:10: error: 2.4 m stands without quotes\n"
                                                 "  hint: write \"2.4 m\" in quotes");
  CHECK(toml_error("length = 16mm # steel\n") == "site.toml:1:10: error: 16mm stands without quotes\n"
                                                 "  hint: write \"16mm\" in quotes");
  CHECK(toml_error("r = [1, 50 ohm m, 3]\n") == "site.toml:1:9: error: 50 ohm m stands without quotes\n"
                                                "  hint: write \"50 ohm m\" in quotes");
  CHECK(toml_error("r = [\n  -5 %,\n]\n") == "site.toml:2:3: error: -5 % stands without quotes\n"
                                             "  hint: write \"-5 %\" in quotes");
  CHECK(toml_error("load = {current = 32 A}\n") == "site.toml:1:19: error: 32 A stands without quotes\n"
                                                   "  hint: write \"32 A\" in quotes");
  CHECK(toml_error("soil = clay\r\n") == "site.toml:1:8: error: clay stands without quotes\n"
                                         "  hint: write \"clay\" in quotes");
}

TEST_CASE("a decimal comma says how to mend it", "[toml]") {
  CHECK(toml_error("length = 2,4 m\n") == "site.toml:1:10: error: 2,4 m has a decimal comma\n"
                                          "  hint: write \"2.4 m\" in quotes");
  CHECK(toml_error("factor = 0,95") == "site.toml:1:10: error: 0,95 has a decimal comma\n"
                                       "  hint: write 0.95");
}

TEST_CASE("other slips are located and explained", "[toml]") {
  CHECK(toml_error("a = True\n") == "site.toml:1:5: error: found True\n  hint: write true or false");
  CHECK(toml_error("a = .5\n") == "site.toml:1:5: error: .5 starts with its point\n  hint: write 0.5");
  CHECK(toml_error("length: 2.4\n") == "site.toml:1:7: error: cannot read this: expected '=', found ':'\n"
                                       "  hint: a line is: key = value, [table], [[list]] or # comment");
  CHECK(toml_error("a = 1\n= 3\n").rfind("site.toml:2:1: error: ", 0) == 0);
  CHECK(toml_error("a = \nb = 1\n").rfind("site.toml:1:5: error: ", 0) == 0);
  CHECK(toml_error("a = 007\n").find("leading zeroes are prohibited") != std::string::npos);
  CHECK(toml_error("[soil\na = 1\n") ==
        "site.toml:1:6: error: cannot read this: expected ']', found the end of the line\n"
        "  hint: a header is [name] or [[name]] on a line of its own");
  CHECK(toml_error("a = \"\\q\"\n").rfind("site.toml:1:7: error: ", 0) == 0);
}

TEST_CASE("headers that make toml++ give up are located errors", "[toml]") {
  for (const std::string_view text : {"[,]", "[.soil]", "[[[soil]]]", "[#]", "[(a)]", "[/a]"}) {
    CAPTURE(text);
    const std::string error = toml_error("# site\n" + std::string(text) + "\na = 1\n");
    CHECK(
        error.rfind(text == "[[[soil]]]" ? "site.toml:2:3: error: found '" : "site.toml:2:2: error: found '",
                    0) == 0);
    CHECK(error.find("hint: a header is [name] or [[name]]; a name holds letters a-z, digits, - and _") !=
          std::string::npos);
  }
  CHECK(toml_error("a = [}").rfind("site.toml:1:6: error: found '}', which cannot stand here", 0) == 0);
}

TEST_CASE("characters outside ASCII stand in quotes and comments only", "[toml]") {
  CHECK(toml_error("[\xCE\xA9]\n")
            .rfind("site.toml:1:2: error: a character outside ASCII stands outside quotes", 0) == 0);
  CHECK(toml_error("a = 100 \xCE\xA9m\n").rfind("site.toml:1:9: error: a character outside ASCII", 0) == 0);
  CHECK(toml_error("a = \xE2\x80\x9C"
                   "2.4 m\xE2\x80\x9D\n") ==
        "site.toml:1:5: error: a typographic quotation mark stands here\n"
        "  hint: type straight quotes, as in \"2.4 m\"");
  CHECK(toml_error("a =\xC2\xA0"
                   "1\n")
            .find("no-break space") != std::string::npos);
  // The column counts characters: the sign before it is one of them.
  CHECK(toml_error("a = \"\xC2\xB1\" \xC2\xB1\n").rfind("site.toml:1:9: ", 0) == 0);
}

TEST_CASE("bytes that are no text are refused where they stand", "[toml]") {
  CHECK(toml_error("a = 1\n# \xFF\n").rfind("site.toml:2:3: error: this is not valid UTF-8", 0) == 0);
  CHECK(toml_error("a = \"\xC3\x28\"\n").rfind("site.toml:1:6: error: this is not valid UTF-8", 0) == 0);
  CHECK(
      toml_error(std::string("a = 1\n\0b = 2\n", 13)).rfind("site.toml:2:1: error: a control character", 0) ==
      0);
  CHECK(toml_error(std::string("a = \"\0\"\n", 8)).rfind("site.toml:1:6: error: a control character", 0) ==
        0);
  CHECK(toml_error("# a\rb = 1\n").rfind("site.toml:1:4: error: a carriage return without a line feed", 0) ==
        0);
}

TEST_CASE("a quote that never closes is located where it opens", "[toml]") {
  CHECK(toml_error("a = 1\nb = \"2.4 m\nc = 3\n") ==
        "site.toml:2:5: error: the quote that opens here is never closed\n"
        "  hint: end the text with \" on the same line");
  CHECK(toml_error("b = '2.4 m").find("end the text with ' on the same line") != std::string::npos);
  CHECK(toml_error("b = \"\"\"2.4 m\nc = 3\"\n").find("end the text with \"\"\"") != std::string::npos);
  CHECK(toml_error("b = '''2.4 m\nc = 3''\n").find("end the text with '''") != std::string::npos);
  CHECK(toml_error("b = \"ends in a backslash\\\"\n").rfind("site.toml:1:5: ", 0) == 0);
}

TEST_CASE("a key set twice names both places", "[toml]") {
  CHECK(toml_error("[soil]\na = 1\nb = 2\n[land]\na = 3\nb = 1\n  a = 4\n") ==
        "site.toml:7:3: error: a is set a second time; the first is on line 5\n"
        "  hint: keep one of the two");
  CHECK(toml_error("[soil]\na = 1\n[land]\n[soil]\nb = 1\n") ==
        "site.toml:4:1: error: [soil] is set a second time; the first is on line 1\n"
        "  hint: keep one of the two");
  CHECK(toml_error("x = {a = 1, b = 2, a = 3}\n").find("error: a is set a second time") != std::string::npos);
  CHECK(toml_error("a = 1\na.b = 2\n").rfind("site.toml:2:1: error: ", 0) == 0);
}

TEST_CASE("dates and times are text here", "[toml]") {
  CHECK(toml_error("measured = 2024-03-01\n") ==
        "site.toml:1:12: error: the date or time 2024-03-01 stands without quotes\n"
        "  hint: write \"2024-03-01\" in quotes");
  CHECK(toml_error("t = [2024-03-01T10:00:00Z, 1]\n").find("2024-03-01T10:00:00Z stands") !=
        std::string::npos);
  CHECK(toml_error("t = 10:30:00\n").find("10:30:00 stands") != std::string::npos);
}

TEST_CASE("numbers that are not finite are refused", "[toml]") {
  for (const std::string_view number : {"nan", "inf", "-inf", "+nan", "NaN", "Infinity"}) {
    CAPTURE(number);
    CHECK(toml_error("a = " + std::string(number) + "\n") ==
          "site.toml:1:5: error: " + std::string(number) +
              " is not a finite number\n  hint: leave the key out if the value is not known");
  }
  CHECK(toml_error("a = 1e999\n").rfind("site.toml:1:5: error: 1e999 is too large or too small", 0) == 0);
  CHECK(toml_error("a = 9223372036854775808\n").find("is too large or too small") != std::string::npos);
}

TEST_CASE("all values that cannot be used are reported at once", "[toml]") {
  Diagnostics diagnostics("site.toml");
  CHECK_FALSE(read_toml("a = nan\nb = 2024-03-01\nc = [inf]\n", diagnostics).has_value());
  CHECK(diagnostics.all().size() == 3);
  std::string many = "a = [";
  for (int i = 0; i < 100'000; ++i)
    many += "nan,";
  Diagnostics a_page("site.toml");
  CHECK_FALSE(read_toml(many + "]", a_page).has_value());
  CHECK(a_page.all().size() == 20);
}

TEST_CASE("what is too large or too deep is a located error", "[toml]") {
  std::string dotted;
  for (int i = 0; i < 100'000; ++i)
    dotted += "a.";
  CHECK(toml_error(dotted + "a = 1\n").rfind("site.toml:1:130: error: the key has more than 64 dots", 0) ==
        0);
  CHECK(toml_error("[" + dotted + "a]\n").find("the key has more than 64 dots") != std::string::npos);
  CHECK(toml_error("a = " + std::string(17, '[') + std::string(17, ']')).find("nested more than 16 deep") !=
        std::string::npos);
  CHECK(toml_error("a = " + std::string(100'000, '[')).find("nested more than 16 deep") != std::string::npos);
  CHECK(toml_error("[a.b.c.d.e.f.g.h.i]\na.b.c.d.e.f.g.h = 1\n").find("nested more than 16 deep") !=
        std::string::npos);
  CHECK(toml_error(std::string((1 << 20) + 1, '#')) == "site.toml: error: the file is larger than 1 MiB\n  "
                                                       "hint: site files are small: is this the right one?");
  CHECK(toml("a = " + std::string(15, '[') + std::string(15, ']')).find("a")->is_array());
  // Points of a plot of land hold more than 64 dots on a line, but not in one key.
  std::string list;
  for (int i = 0; i < 100; ++i)
    list += "1.5,";
  CHECK(toml("a = [" + list + "]\n").find("a")->array().size() == 100);
}

TEST_CASE("inputs that once ended the process or were undefined behaviour are located errors", "[toml]") {
  // A number so long that toml++ cannot step back over it: its check stands in a noexcept function.
  CHECK(toml_error("a = 2000-01-0" + std::string(115, '_') + "1 10:00:00\n")
            .find("is longer than 64 characters") != std::string::npos);
  // A quote in the middle of a word, with a sign outside ASCII behind it; found by fuzzing.
  CHECK(toml_error("l=-'\xC3\xA9'\n").rfind("site.toml:1:5: error: a character outside ASCII", 0) == 0);
  CHECK(toml_error("a = \"\"\"\nx\\  \xC3\xA9\"\"\"\n")
            .rfind("site.toml:2:5: error: a character outside ASCII", 0) == 0);
  CHECK(toml("a = \"\"\"\\\\\xC3\xA9\"\"\"\n").find("a")->text() == "\\\xC3\xA9");
  CHECK(toml_error("k = 1_0='\xC3\xA9'\n").rfind("site.toml:1:10: error: a character outside ASCII", 0) == 0);
  CHECK(toml_error("k = 2['\xC3\xA9']\n").rfind("site.toml:1:8: error: a character outside ASCII", 0) == 0);
  CHECK(toml_error("l=1.'\xC3\xA9'\n").rfind("site.toml:1:6: error: a character outside ASCII", 0) == 0);
}

TEST_CASE("a decimal comma of the program's locale changes nothing", "[toml]") {
  struct CommaPoint : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  const std::locale before = std::locale::global(std::locale(std::locale::classic(), new CommaPoint));
  Diagnostics diagnostics;
  const auto site = read_toml("a = 1234.5\nb = 12345\n", diagnostics);
  const std::string written = site ? write_json(*site) : "";
  std::locale::global(before);
  CHECK(written == "{\n  \"a\": 1234.5,\n  \"b\": 12345\n}\n");
}

TEST_CASE("any text is either read or reported inside the text", "[toml][property]") {
  const std::string good = "title = \"caf\xC3\xA9 x\"\n[soil]\nr = [\"50 ohm m\", 'x']\nd.e = 1.5e3\n[[l]]\n"
                           "t = {a = 1, b = [true, 2]}\ns = '''\nraw'''\n# end\n";
  const std::array<std::string_view, 24> pieces{
      "[",  "]",  "[[", "]]",     "{",   "}",   "=",          ".", ",",        "\"", "'", "#",
      "\n", "\r", "\\", "\"\"\"", "'''", "nan", "2024-01-01", "_", "\xC3\xA9", "0x", " ", "9e9"};
  std::mt19937_64 random(20240301);
  const auto below = [&](std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
  };
  int read_count = 0;
  for (int draw = 0; draw < 20'000; ++draw) {
    std::string text = good;
    for (std::size_t change = 0; change < 1 + below(3); ++change) {
      const std::size_t at = below(text.size());
      text.replace(at, below(4), pieces[below(pieces.size())]);
    }
    CAPTURE(draw, text);
    Diagnostics diagnostics("site.toml");
    std::optional<Value> site;
    REQUIRE_NOTHROW(site = read_toml(text, diagnostics));
    REQUIRE(site.has_value() != diagnostics.has_errors());
    REQUIRE(all_lie_inside(diagnostics, text));
    if (site) ++read_count;
  }
  CHECK(read_count > 100);  // the changes do not break everything
}
