// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>

#include <cstddef>
#include <string>
#include <string_view>

namespace ohmroot::text::detail {

/// Walks through valid UTF-8 byte by byte and knows the line and the column (in characters) it stands at.
/// LF, CRLF and a lone CR each end a line.
class Cursor {
public:
  explicit Cursor(std::string_view text) : text_(text) {}

  [[nodiscard]] bool is_at_end() const noexcept { return offset_ >= text_.size(); }
  [[nodiscard]] char peek() const noexcept { return is_at_end() ? '\0' : text_[offset_]; }
  [[nodiscard]] std::size_t offset() const noexcept { return offset_; }
  [[nodiscard]] Position at() const noexcept { return at_; }
  void step() noexcept;  ///< one byte on; stays at the end

private:
  std::string_view text_;
  std::size_t offset_ = 0;
  Position at_{1, 1};
};

/// Line and column of a byte; the text before it must be valid UTF-8.
[[nodiscard]] Position position_of(std::string_view text, std::size_t offset);

/// First byte that is not well-formed UTF-8 (overlong forms and surrogates included), or npos.
[[nodiscard]] std::size_t find_invalid_utf8(std::string_view text);

/// First control character other than tab, line feed and carriage return, or npos.
[[nodiscard]] std::size_t find_control_character(std::string_view text);

/// The text without a byte-order mark at its front.
[[nodiscard]] std::string_view without_byte_order_mark(std::string_view text);

/// Bytes of Windows-1252 in UTF-8; the five bytes without a meaning become U+FFFD.
[[nodiscard]] std::string utf8_from_windows_1252(std::string_view bytes);

/// A piece of the user's text, fit for a message: shortened, control characters replaced by blanks.
[[nodiscard]] std::string excerpt(std::string_view text, std::size_t greatest_length = 60);

}  // namespace ohmroot::text::detail
