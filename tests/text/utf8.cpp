// SPDX-License-Identifier: MIT
#include <ohmroot/text/detail/utf8.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <string>
#include <utility>

using namespace ohmroot::text::detail;

namespace {
constexpr auto npos = std::string_view::npos;
}

// Source: The Unicode Standard, version 15.0 (2022), table 3-7 "Well-Formed UTF-8 Byte Sequences": first and
// last sequence of each row, and their nearest neighbours outside. From memory.
TEST_CASE("well-formed UTF-8 is told from ill-formed at the borders of table 3-7", "[utf8]") {
  for (const std::string_view good :
       {"\x7F", "\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xE0\xBF\xBF", "\xE1\x80\x80", "\xEC\xBF\xBF",
        "\xED\x80\x80", "\xED\x9F\xBF", "\xEE\x80\x80", "\xEF\xBF\xBF", "\xF0\x90\x80\x80",
        "\xF0\xBF\xBF\xBF", "\xF3\xBF\xBF\xBF", "\xF4\x80\x80\x80", "\xF4\x8F\xBF\xBF"}) {
    CAPTURE(good);
    CHECK(find_invalid_utf8(good) == npos);
    const std::string_view cut = good.substr(0, good.size() - 1);
    CHECK(find_invalid_utf8(cut) == (cut.empty() ? npos : 0));
  }
  for (const std::string_view bad :
       {"\x80", "\xBF", "\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xED\xBF\xBF",
        "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFE", "\xFF"}) {
    CAPTURE(bad);
    CHECK(find_invalid_utf8(std::string("ab").append(bad).append("c")) == 2);
  }
}

// Source: Unicode mapping table CP1252.TXT, version 2.01 (1998), rows of the signs that field sheets hold and
// of the ends of the block 0x80-0x9F; five bytes of it are undefined. From memory.
TEST_CASE("Windows-1252 is read by the published mapping", "[utf8]") {
  const std::array<std::pair<char, std::string_view>, 11> rows{{{'\x80', "\xE2\x82\xAC"},  // euro sign
                                                                {'\x92', "\xE2\x80\x99"},  // right quote
                                                                {'\x96', "\xE2\x80\x93"},  // en dash
                                                                {'\x9F', "\xC5\xB8"},      // Y with diaeresis
                                                                {'\xA0', "\xC2\xA0"},      // no-break space
                                                                {'\xB0', "\xC2\xB0"},      // degree
                                                                {'\xB1', "\xC2\xB1"},      // plus-minus
                                                                {'\xB2', "\xC2\xB2"},      // superscript two
                                                                {'\xB5', "\xC2\xB5"},      // micro
                                                                {'\xB7', "\xC2\xB7"},      // middle dot
                                                                {'\xFF', "\xC3\xBF"}}};    // y with diaeresis
  for (const auto& [byte, utf8] : rows)
    CHECK(utf8_from_windows_1252(std::string(1, byte)) == utf8);
  for (const char undefined : {'\x81', '\x8D', '\x8F', '\x90', '\x9D'})
    CHECK(utf8_from_windows_1252(std::string(1, undefined)) == "\xEF\xBF\xBD");
  CHECK(utf8_from_windows_1252("plain\r\n") == "plain\r\n");
}

TEST_CASE("positions count characters, not bytes, and know every line end", "[utf8]") {
  const std::string_view text = "a\xCE\xA9"
                                "b\r\nc\rd\ne";
  const auto at = [&](char c) { return position_of(text, text.find(c)); };
  CHECK((at('b').line == 1 && at('b').column == 3));
  CHECK((at('c').line == 2 && at('c').column == 1));
  CHECK((at('d').line == 3 && at('d').column == 1));
  CHECK((at('e').line == 4 && at('e').column == 1));
  const auto end = position_of(text, text.size());
  CHECK((end.line == 4 && end.column == 2));
}

TEST_CASE("an excerpt is short, on one line and cut between characters", "[utf8]") {
  CHECK(excerpt("a\tb\nc") == "a b c");
  CHECK(excerpt(std::string("a\0b", 3)) == "a b");
  CHECK(excerpt("12345", 3) == "123...");
  CHECK(excerpt("12\xCE\xA9"
                "45",
                3) == "12...");
  CHECK(excerpt("12345", 5) == "12345");
}
