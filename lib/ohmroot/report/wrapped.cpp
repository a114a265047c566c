// SPDX-License-Identifier: MIT
#include <ohmroot/report/wrapped.hpp>

#include <sstream>

namespace ohmroot::report {

std::string wrapped(std::string_view text, const Margins& margins, std::size_t column_count) {
  std::string result;
  std::string line(margins.first);
  bool is_empty = true;
  std::istringstream words{std::string(text)};
  for (std::string word; words >> word;) {
    if (!is_empty && line.size() + 1 + word.size() > column_count) {
      result.append(line).append("\n");
      line = margins.others;
      is_empty = true;
    }
    if (!is_empty) line += ' ';
    line += word;
    is_empty = false;
  }
  return result.append(line).append("\n");
}

}  // namespace ohmroot::report
