// SPDX-License-Identifier: MIT
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

namespace ohmroot::supply::detail {

/// A time as a log writes it: as a clock on the wall shows it, and counted without regard to zones.
struct LogTime {
  double wall_s = 0.0;   ///< since 1970, by the wall clock
  double count_s = 0.0;  ///< the same less the zone, if the time states one
};

/// Reads times of one log; the date of the row before is kept, since it is mostly the same.
class LogClock {
public:
  /// False if the cell is none of the forms documented at LoadLog.
  [[nodiscard]] bool read(std::string_view cell, LogTime& time);

  /// The length of "2026-01-31 23:59:58".
  static constexpr std::ptrdiff_t plain_size = 19;
  /// The same for a cell of that length in the minute of the row before; false also if it is not in it.
  [[nodiscard]] bool read_in_same_minute(const char* cell, LogTime& time) const {
    if (std::memcmp(cell, minute_.data(), minute_.size()) != 0) return false;
    const unsigned tens = static_cast<unsigned char>(cell[17]) - unsigned{'0'};
    const unsigned ones = static_cast<unsigned char>(cell[18]) - unsigned{'0'};
    if (tens > 5 || ones > 9) return false;
    time.wall_s = time.count_s = minute_s_ + 10.0 * tens + ones;
    return true;
  }

private:
  [[nodiscard]] bool read_date(std::string_view date);
  std::array<char, 17> minute_{};  // "2026-01-31 23:59:"
  double minute_s_ = 0.0;
  std::array<char, 10> date_{};
  double midnight_s_ = 0.0;
};

/// 0 for Monday; and the hour, of a wall time.
[[nodiscard]] int weekday_of(double wall_s);
[[nodiscard]] int hour_of(double wall_s);

/// Powers of ten that a double holds exactly.
inline constexpr std::array<double, 16> exact_power{1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                    1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

/// Reads "12.34" right up to the separator or the end of the line and gives where it stops; nullptr if the cell
/// is anything else (it may still be a number) or longer than a double holds exactly.
[[nodiscard]] inline const char* read_plain_decimal(const char* at, const char* end, char separator,
                                                    char decimal_mark, double& value) {
  const char* const first = at;
  std::int64_t whole = 0;
  while (at != end && at - first < 16 && static_cast<unsigned>(*at - '0') < 10U)
    whole = 10 * whole + (*at++ - '0');
  const char* const mark = at;
  std::size_t behind_count = 0;
  if (at != end && *at == decimal_mark) {
    ++at;
    while (at != end && at - first < 16 && static_cast<unsigned>(*at - '0') < 10U)
      whole = 10 * whole + (*at++ - '0');
    behind_count = static_cast<std::size_t>(at - mark - 1);
  }
  if (mark == first || at - first > 15 || (at != end && *at != separator)) return nullptr;
  value = static_cast<double>(whole) / exact_power[behind_count];
  return at;
}

/// Reads a plain decimal number up to the end of the text; false if it is none.
[[nodiscard]] bool read_decimal(std::string_view text, char decimal_mark, double& value);

}  // namespace ohmroot::supply::detail
