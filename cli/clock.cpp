// SPDX-License-Identifier: MIT
#include "clock.hpp"

#include <fmt/format.h>

#include <ctime>

namespace ohmroot::cli {
namespace {

constexpr std::string_view first_day = "2026-01-01";  // none of this program's books is older
constexpr std::time_t grace_s = 3600 + 60;
constexpr std::string_view doubt_mark = "clock in doubt";

std::string words_of(std::time_t when) {
  std::tm parts{};
  localtime_r(&when, &parts);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday,
                     parts.tm_hour, parts.tm_min);
}

}  // namespace

std::string local_time() {
  return words_of(std::time(nullptr));
}

std::string today() {
  return local_time().substr(0, first_day.size());
}

std::string clock_doubt(std::string_view last_line_time) {
  const std::string now = local_time();
  const std::string consequence = fmt::format(
      "Set it. Nothing is refused for it; lines that carry a wrong time are marked \"{}\".", doubt_mark);
  if (now < first_day)
    return fmt::format("This device's clock shows {}, which cannot be right. {}", now, consequence);
  if (words_of(std::time(nullptr) + grace_s) >= last_line_time) return {};
  return fmt::format(
      "The last line is of {}, and this device's clock shows {} now: it was wrong then, or is now. {}",
      last_line_time, now, consequence);
}

std::string marked_remark(const std::string& remark, std::string_view clock_doubt) {
  if (clock_doubt.empty()) return remark;
  return fmt::format("{}{}{}", remark, remark.empty() ? "" : "; ", doubt_mark);
}

}  // namespace ohmroot::cli
