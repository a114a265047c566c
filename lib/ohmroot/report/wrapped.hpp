// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace ohmroot::report {

/// What stands before the first line and before the others.
struct Margins {
  std::string_view first = {};
  std::string_view others = {};
};

/// Text for a terminal: white space folded, lines of at most so many columns, a final newline. A word longer than a
/// line stands on a line of its own.
[[nodiscard]] std::string wrapped(std::string_view text, const Margins& margins = {},
                                  std::size_t column_count = 100);

}  // namespace ohmroot::report
