// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/log_time.hpp>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstring>
#include <string>

namespace ohmroot::supply::detail {

namespace {

constexpr double day_s = 86400.0;

/// The number that count digits make, or -1.
int digits(const char* at, int count) {
  int value = 0;
  for (int k = 0; k < count; ++k) {
    const unsigned digit = static_cast<unsigned char>(at[k]) - unsigned{'0'};
    if (digit > 9) return -1;
    value = 10 * value + static_cast<int>(digit);
  }
  return value;
}

}  // namespace

int weekday_of(double wall_s) {
  const auto day = static_cast<std::int64_t>(std::floor(wall_s / day_s));
  return static_cast<int>(((day + 3) % 7 + 7) % 7);  // 1970 began on a Thursday
}

int hour_of(double wall_s) {
  return static_cast<int>(std::floor((wall_s - day_s * std::floor(wall_s / day_s)) / 3600.0));
}

bool LogClock::read_date(std::string_view date) {
  const char* d = date.data();
  const bool is_year_first = d[4] == '-' && d[7] == '-';
  const bool is_day_first = d[2] == d[5] && (d[2] == '/' || d[2] == '.' || d[2] == '-');
  if (!is_year_first && !is_day_first) return false;
  const int year = digits(is_year_first ? d : d + 6, 4);
  const int month = digits(is_year_first ? d + 5 : d + 3, 2);
  const int day = digits(is_year_first ? d + 8 : d, 2);
  if (year < 1900 || month < 0 || day < 0) return false;
  const std::chrono::year_month_day whole{std::chrono::year(year),
                                          std::chrono::month(static_cast<unsigned>(month)),
                                          std::chrono::day(static_cast<unsigned>(day))};
  if (!whole.ok()) return false;
  midnight_s_ = day_s * static_cast<double>(std::chrono::sys_days(whole).time_since_epoch().count());
  std::copy(date.begin(), date.end(), date_.begin());
  return true;
}

bool LogClock::read(std::string_view cell, LogTime& time) {
  if (cell.size() < 16 || digits(cell.data(), 5) >= 0) {
    // Seconds or milliseconds since 1970; before 1990 it is something else, such as a spreadsheet's day count.
    double value = 0.0;
    if (!read_decimal(cell, '.', value)) return false;
    if (value >= 6.3e11) value /= 1000.0;
    if (!(value >= 6.3e8 && value < 1e10)) return false;
    time = {value, value};
    return true;
  }
  if (std::memcmp(cell.data(), date_.data(), 10) != 0 && !read_date(cell.substr(0, 10))) return false;
  const char* at = cell.data() + 10;
  const char* const end = cell.data() + cell.size();
  if ((*at != ' ' && *at != 'T') || at[3] != ':') return false;
  const int hour = digits(at + 1, 2);
  const int minute = digits(at + 4, 2);
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59) return false;
  at += 6;
  double second = 0.0;
  if (end - at >= 3 && *at == ':') {
    const int whole = digits(at + 1, 2);
    if (whole < 0 || whole > 60) return false;
    second = whole;
    at += 3;
    if (at != end && (*at == '.' || *at == ',')) {
      double scale = 0.1;
      for (++at; at != end && *at >= '0' && *at <= '9'; ++at, scale *= 0.1)
        second += scale * (*at - '0');
    }
  }
  time.wall_s = midnight_s_ + 3600.0 * hour + 60.0 * minute + second;
  time.count_s = time.wall_s;
  if (at == end && static_cast<std::ptrdiff_t>(cell.size()) == plain_size && cell[16] == ':') {
    std::copy_n(cell.begin(), minute_.size(), minute_.begin());
    minute_s_ = midnight_s_ + 3600.0 * hour + 60.0 * minute;
  }
  if (at == end || (end - at == 1 && *at == 'Z')) return true;
  const bool is_zone = (*at == '+' || *at == '-') && (end - at == 6 || end - at == 5 || end - at == 3);
  if (!is_zone) return false;
  const int zone_hour = digits(at + 1, 2);
  const int zone_minute = end - at == 3 ? 0 : digits(end - 2, 2);
  if (zone_hour < 0 || zone_minute < 0) return false;
  time.count_s -= (*at == '-' ? -1.0 : 1.0) * (3600.0 * zone_hour + 60.0 * zone_minute);
  return true;
}

bool read_decimal(std::string_view text, char decimal_mark, double& value) {
  const char* at = text.data();
  const char* const end = at + text.size();
  const bool is_negative = at != end && *at == '-';
  if (at != end && (*at == '-' || *at == '+')) ++at;
  // Up to 15 digits and a power of ten up to 15 are both exact, so that one division rounds correctly.
  std::int64_t whole = 0;
  const char* const first = at;
  while (at != end && static_cast<unsigned>(*at - '0') < 10U && at - first < 15)
    whole = 10 * whole + (*at++ - '0');
  int digit_count = static_cast<int>(at - first);
  int behind_count = 0;
  if (at != end && *at == decimal_mark) {
    const char* const mark = ++at;
    while (at != end && static_cast<unsigned>(*at - '0') < 10U && digit_count < 15) {
      whole = 10 * whole + (*at++ - '0');
      ++digit_count;
    }
    behind_count = static_cast<int>(at - mark);
  }
  if (digit_count == 0) return false;
  if (at == end) {
    value = static_cast<double>(whole) / exact_power[static_cast<std::size_t>(behind_count)];
    if (is_negative) value = -value;
    return true;
  }
  std::string rest(first, end);
  std::replace(rest.begin(), rest.end(), decimal_mark, '.');
  const auto [stop, failed] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
  if (failed != std::errc() || stop != rest.data() + rest.size() || !std::isfinite(value)) return false;
  if (is_negative) value = -value;
  return true;
}

}  // namespace ohmroot::supply::detail
