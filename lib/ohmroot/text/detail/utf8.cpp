// SPDX-License-Identifier: MIT
#include <ohmroot/text/detail/utf8.hpp>

#include <boost/locale/utf.hpp>

#include <algorithm>
#include <array>
#include <iterator>

namespace ohmroot::text::detail {
namespace {

using Utf8 = boost::locale::utf::utf_traits<char>;

bool is_continuation(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

bool is_control(char c) {
  return (static_cast<unsigned char>(c) < 0x20U && c != '\t' && c != '\n' && c != '\r') || c == '\x7F';
}

// What Windows-1252 puts where Latin-1 has its second block of controls (0x80 to 0x9F).
constexpr std::array<char32_t, 32> windows_1252_block{
    0x20AC, 0xFFFD, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0xFFFD, 0x017D, 0xFFFD, 0xFFFD, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0xFFFD, 0x017E, 0x0178};

}  // namespace

void Cursor::step() noexcept {
  if (is_at_end()) return;
  const char left = text_[offset_++];
  if (left == '\n' || (left == '\r' && peek() != '\n')) {
    at_ = {at_.line + 1, 1};
  } else if (is_at_end() || !is_continuation(peek())) {
    ++at_.column;
  }
}

Position position_of(std::string_view text, std::size_t offset) {
  Cursor cursor(text);
  while (cursor.offset() < offset && !cursor.is_at_end())
    cursor.step();
  Position at = cursor.at();
  if (is_continuation(cursor.peek())) ++at.column;  // a broken byte has a column of its own
  return at;
}

std::size_t find_invalid_utf8(std::string_view text) {
  for (auto here = text.begin(); here != text.end();) {
    const auto start = here;
    const auto code_point = Utf8::decode(here, text.end());
    if (code_point == boost::locale::utf::illegal || code_point == boost::locale::utf::incomplete)
      return static_cast<std::size_t>(start - text.begin());
  }
  return std::string_view::npos;
}

std::size_t find_control_character(std::string_view text) {
  const auto found = std::find_if(text.begin(), text.end(), is_control);
  return found == text.end() ? std::string_view::npos : static_cast<std::size_t>(found - text.begin());
}

std::string_view without_byte_order_mark(std::string_view text) {
  constexpr std::string_view mark = "\xEF\xBB\xBF";
  return text.substr(0, mark.size()) == mark ? text.substr(mark.size()) : text;
}

std::string utf8_from_windows_1252(std::string_view bytes) {
  std::string text;
  text.reserve(bytes.size() + bytes.size() / 8);
  for (const char c : bytes) {
    const char32_t byte = static_cast<unsigned char>(c);
    const char32_t code_point = byte >= 0x80 && byte <= 0x9F ? windows_1252_block[byte - 0x80] : byte;
    Utf8::encode(code_point, std::back_inserter(text));
  }
  return text;
}

std::string excerpt(std::string_view text, std::size_t greatest_length) {
  std::size_t length = std::min(text.size(), greatest_length);
  while (length > 0 && length < text.size() && is_continuation(text[length]))
    --length;
  std::string shown(text.substr(0, length));
  std::replace_if(
      shown.begin(), shown.end(), [](char c) { return is_control(c) || c == '\n' || c == '\r' || c == '\t'; },
      ' ');
  return length < text.size() ? shown + "..." : shown;
}

}  // namespace ohmroot::text::detail
