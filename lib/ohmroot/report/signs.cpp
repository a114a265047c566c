// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <regex>

namespace ohmroot::report {

std::string with_signs(std::string_view text) {
  // No unbounded repeats: the standard regex would recurse once per character of a hostile text.
  static const std::regex resistivity(R"((\d) ([kMm]?)ohm m\b)");
  static const std::regex resistance(R"((\d) ([kMm]?)ohm\b)");
  static const std::regex other(R"((\d) (m|mm|km|V|kV|A|mA|W|kW|MW|s|%)(?![\w-]))");
  std::string signs = std::regex_replace(std::string(text), resistivity, "$1\u00a0$2\u03a9\u00b7m");
  signs = std::regex_replace(signs, resistance, "$1\u00a0$2\u03a9");
  return std::regex_replace(signs, other, "$1\u00a0$2");
}

std::string as_given(double si_value, Dimension dimension, int most_figures) {
  std::string text = format_quantity(si_value, dimension, most_figures);
  const std::size_t end = std::min(text.find(' '), text.size());
  const std::size_t point = text.find('.');
  if (point >= end || text.find('e') < end) return text;
  const std::size_t last = text.find_last_not_of('0', end - 1);
  return text.erase(last == point ? point : last + 1, end - (last == point ? point : last + 1));
}

std::string shown(double si_value, Dimension dimension) {
  return with_signs(format_quantity(si_value, dimension, 3));
}

}  // namespace ohmroot::report
