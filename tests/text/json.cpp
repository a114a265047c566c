// SPDX-License-Identifier: MIT
#include "documents.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <cstring>
#include <random>

using namespace ohmroot;
using namespace ohmroot::text;
using namespace text_tests;

namespace {

Value json(std::string_view text) {
  Diagnostics diagnostics("input.json");
  auto document = read_json(text, diagnostics);
  for (const auto& found : diagnostics.all())
    UNSCOPED_INFO(to_text(found));
  REQUIRE(document.has_value());
  return *document;
}

std::string json_error(std::string_view text) {
  Diagnostics diagnostics("input.json");
  const auto document = read_json(text, diagnostics);
  REQUIRE_FALSE(document.has_value());
  return only_error(diagnostics);
}

/// Whether two documents hold the same, positions aside; 0.0 and -0.0 are not the same.
bool is_same(const Value& left, const Value& right) {
  if (left.is_object()) {
    return right.is_object() && std::equal(left.object().begin(), left.object().end(), right.object().begin(),
                                           right.object().end(), [](const Member& a, const Member& b) {
                                             return a.first == b.first && is_same(a.second, b.second);
                                           });
  }
  if (left.is_array()) {
    return right.is_array() && std::equal(left.array().begin(), left.array().end(), right.array().begin(),
                                          right.array().end(), is_same);
  }
  if (const auto* number = std::get_if<double>(&left.data())) {
    const auto* other = std::get_if<double>(&right.data());
    return other != nullptr && std::memcmp(number, other, sizeof *number) == 0;
  }
  if (left.is_text()) return right.is_text() && left.text() == right.text();
  if (left.is_boolean()) return right.is_boolean() && left.boolean() == right.boolean();
  if (left.is_number()) return right.is_number() && left.number() == right.number();
  return left.is_null() && right.is_null();
}

}  // namespace

// Source: RFC 8259 (2017), section 13, first example text; from memory.
TEST_CASE("the example of RFC 8259 is read", "[json]") {
  const Value document = json("{\n"
                              "  \"Image\": {\n"
                              "      \"Width\":  800,\n"
                              "      \"Height\": 600,\n"
                              "      \"Title\":  \"View from 15th Floor\",\n"
                              "      \"Animated\" : false,\n"
                              "      \"IDs\": [116, 943, 234, 38793]\n"
                              "    }\n"
                              "}\n");
  const Value& image = *document.find("Image");
  CHECK(image.find("Width")->number() == 800.0);
  CHECK(image.find("Title")->text() == "View from 15th Floor");
  CHECK_FALSE(image.find("Animated")->boolean());
  CHECK(image.find("IDs")->array().at(3).number() == 38793.0);
  CHECK(image.object().front().first == "Width");
}

// Source: RFC 8259 (2017), section 7, example of the G clef U+1D11E written as a surrogate pair; from memory.
TEST_CASE("escapes in texts are read, surrogate pairs among them", "[json]") {
  CHECK(json("\"\\uD834\\uDD1E\"").text() == "\xF0\x9D\x84\x9E");
  CHECK(json("\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"").text() == "\"\\/\b\f\n\r\t");
  CHECK(json_error("\"\\uD834\"").find("surrogate") != std::string::npos);
}

TEST_CASE("every key and value of a JSON document knows its line and column", "[json]") {
  const Value document = json("\xEF\xBB\xBF{\"a\": [1, -2.5e3 ,\n  true,null, \"\xCE\xA9 \\\" ]\", \"z\"],\n"
                              "\t\"b\" : {\"c\":{} , \"d\": [ ]}}");
  CHECK(is_at(document.at(), 1, 1));
  const Value& list = *document.find("a");
  CHECK(is_at(list.key_at(), 1, 2));
  CHECK(is_at(list.at(), 1, 7));
  CHECK(is_at(list.array().at(0).at(), 1, 8));
  CHECK(is_at(list.array().at(1).at(), 1, 11));
  CHECK(is_at(list.array().at(2).at(), 2, 3));
  CHECK(is_at(list.array().at(3).at(), 2, 8));
  CHECK(is_at(list.array().at(4).at(), 2, 14));
  CHECK(is_at(list.array().at(5).at(), 2, 24));
  const Value& table = *document.find("b");
  CHECK(is_at(table.key_at(), 3, 2));
  CHECK(is_at(table.at(), 3, 8));
  CHECK(is_at(table.find("c")->at(), 3, 13));
  CHECK(is_at(table.find("d")->key_at(), 3, 18));
  CHECK(is_at(table.find("d")->at(), 3, 23));
}

TEST_CASE("whole numbers stay whole, larger ones become doubles", "[json]") {
  CHECK(std::get<std::int64_t>(json("9223372036854775807").data()) == 9223372036854775807LL);
  CHECK(std::get<std::int64_t>(json("-9223372036854775808").data()) == -9223372036854775807LL - 1);
  CHECK(std::get<double>(json("9223372036854775808").data()) == 9223372036854775808.0);
  CHECK(std::get<double>(json("1e2").data()) == 100.0);
}

TEST_CASE("duplicate keys are errors, all of them at once, with both places", "[json]") {
  Diagnostics diagnostics("input.json");
  CHECK_FALSE(read_json("{\"a\": 1,\n \"b\": {\"a\": 2, \"a\": 3}, \"a\": 4}", diagnostics).has_value());
  REQUIRE(diagnostics.all().size() == 2);
  CHECK(
      to_text(diagnostics.all()[0]) ==
      "input.json:2:16: error: \"a\" is set a second time; the first is at 2:8\n  hint: keep one of the two");
  CHECK(
      to_text(diagnostics.all()[1]) ==
      "input.json:2:25: error: \"a\" is set a second time; the first is at 1:2\n  hint: keep one of the two");
}

TEST_CASE("syntax errors of JSON carry line and column", "[json]") {
  CHECK(json_error("").rfind("input.json:1:1: error: this is not JSON: ", 0) == 0);
  CHECK(json_error("{\"a\": 1,\n}").rfind("input.json:2:1: error: this is not JSON: ", 0) == 0);
  CHECK(json_error("[1, 2").find("unexpected end of input") != std::string::npos);
  CHECK(json_error("{\"a\": nan}").rfind("input.json:1:8: error: ", 0) == 0);
  CHECK(json_error("{\"a\": Infinity}").find("this is not JSON") != std::string::npos);
  CHECK(json_error("{} {}").rfind("input.json:1:4: error: ", 0) == 0);
  CHECK(json_error("// comment\n1").find("this is not JSON") != std::string::npos);
  CHECK(json_error(std::string("[1,\0]", 5)).rfind("input.json:1:4: error: ", 0) == 0);
  CHECK(json_error("[\"\xCE\xA9\",\n\"\xC3\"]") ==
        "input.json:2:2: error: this is not valid UTF-8\n  hint: send the document as UTF-8");
}

TEST_CASE("a number too large for a double is refused where it stands", "[json]") {
  CHECK(
      json_error("{\"a\": 1,\n \"b\": -1e999}").rfind("input.json:2:7: error: the number is too large", 0) ==
      0);
}

TEST_CASE("64 levels of nesting are read, 65 and a million are refused", "[json]") {
  CHECK(json(std::string(64, '[') + std::string(64, ']')).is_array());
  CHECK(json_error(std::string(65, '[') + std::string(65, ']')).rfind("input.json:1:65: error: ", 0) == 0);
  CHECK(json_error(std::string(1'000'000, '[')).find("nested more than 64 deep") != std::string::npos);
}

TEST_CASE("a document is written with two spaces, in order, with a final newline", "[json]") {
  Value document;
  document.set("z", 0.1).set("a", Array{Value(1), Value(true), Value()}).set("text", "a\n\"\xCE\xA9\"");
  document.set("empty", Object{});
  CHECK(write_json(document) == "{\n"
                                "  \"z\": 0.1,\n"
                                "  \"a\": [\n"
                                "    1,\n"
                                "    true,\n"
                                "    null\n"
                                "  ],\n"
                                "  \"text\": \"a\\n\\\"\xCE\xA9\\\"\",\n"
                                "  \"empty\": {}\n"
                                "}\n");
}

TEST_CASE("bytes that are not UTF-8 are written as the replacement character", "[json]") {
  CHECK(write_json(Value("a\xFF"
                         "b")) == "\"a\xEF\xBF\xBD"
                                  "b\"\n");
}

TEST_CASE("what is written reads back the same, to the last bit", "[json][property]") {
  std::mt19937_64 random(8259);
  const auto below = [&](int count) { return std::uniform_int_distribution<int>(0, count - 1)(random); };
  const auto any_double = [&] {
    while (true) {
      const std::uint64_t bits = random();
      double number = 0.0;
      std::memcpy(&number, &bits, sizeof number);
      if (std::isfinite(number)) return number;
    }
  };
  const std::array<std::string_view, 6> texts{"",      "caf\xC3\xA9", "a\"b\\c\n\t", "\xF0\x9D\x84\x9E",
                                              "16 mm", "\x01"};
  const auto any_value = [&](const auto& self, int depth) -> Value {
    switch (below(depth > 3 ? 5 : 7)) {
    case 0:
      return {};
    case 1:
      return below(2) == 0;
    case 2:
      return static_cast<std::int64_t>(random());
    case 3:
      return any_double();
    case 4:
      return texts[static_cast<std::size_t>(below(6))];
    case 5: {
      Array list;
      for (int i = below(4); i > 0; --i)
        list.push_back(self(self, depth + 1));
      return list;
    }
    default: {
      Value table = Object{};
      for (int i = below(4); i > 0; --i)
        table.set("key_" + std::to_string(below(1000)), self(self, depth + 1));
      return table;
    }
    }
  };
  for (int draw = 0; draw < 5'000; ++draw) {
    const Value document = any_value(any_value, 0);
    const std::string written = write_json(document);
    CAPTURE(draw, written);
    REQUIRE(is_same(json(written), document));
  }
}

TEST_CASE("any text is either read as JSON or reported inside the text", "[json][property]") {
  const std::string good = "{\"a\": [1, -2.5e3, true, null, \"\\u00e9\"], \"b\": {\"c\": {}}}";
  const std::array<std::string_view, 12> pieces{"[",  "]",  "{",  "}",   ",",        ":",
                                                "\"", "\\", "\n", "1e9", "\xC3\xA9", "\xFF"};
  std::mt19937_64 random(7);
  const auto below = [&](std::size_t count) {
    return std::uniform_int_distribution<std::size_t>(0, count - 1)(random);
  };
  for (int draw = 0; draw < 20'000; ++draw) {
    std::string text = good;
    for (std::size_t change = 0; change < 1 + below(3); ++change)
      text.replace(below(text.size()), below(4), pieces[below(pieces.size())]);
    CAPTURE(draw, text);
    Diagnostics diagnostics("input.json");
    std::optional<Value> document;
    REQUIRE_NOTHROW(document = read_json(text, diagnostics));
    REQUIRE(document.has_value() != diagnostics.has_errors());
    REQUIRE(all_lie_inside(diagnostics, text));
  }
}
