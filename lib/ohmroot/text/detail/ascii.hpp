// SPDX-License-Identifier: MIT
#pragma once

#include <algorithm>
#include <string>
#include <string_view>

namespace ohmroot::text::detail {

// The classes of <cctype> without its locale and without undefined behaviour on bytes above 127.
[[nodiscard]] inline bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
[[nodiscard]] inline bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
[[nodiscard]] inline bool is_ascii(char c) {
  return static_cast<unsigned char>(c) < 0x80U;
}

[[nodiscard]] inline std::string in_lower_case(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; });
  return lower;
}

[[nodiscard]] inline bool starts_with(std::string_view text, std::string_view front) {
  return text.substr(0, front.size()) == front;
}

[[nodiscard]] inline std::string_view stripped(std::string_view text) {
  constexpr std::string_view blanks = " \t\r\n";
  const auto first = text.find_first_not_of(blanks);
  return first == std::string_view::npos ? std::string_view{}
                                         : text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

}  // namespace ohmroot::text::detail
