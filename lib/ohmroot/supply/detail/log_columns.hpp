// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/supply/load_log.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::supply::detail {

enum class LogQuantity { ignored, time, date, current, reactive, power_factor };

/// What a column of a log holds (the time of day only, where another one holds the date), and the factor that makes amperes at nominal voltage of it.
struct LogColumn {
  LogQuantity quantity = LogQuantity::ignored;
  int phase = 0;
  double scale = 1.0;
};

struct LogHeader {
  int line = 0;
  char separator = ',';
  char decimal_mark = '.';
  std::vector<LogColumn> columns;  // up to the last one that matters
  std::array<bool, 3> has_reactive{};
  std::array<bool, 3> has_power_factor{};
  std::string words;
};

/// Finds the header in the first lines of a log. Nothing, with an error, if there is none or a phase or a unit
/// is missing.
[[nodiscard]] std::optional<LogHeader>
read_log_header(std::string_view first_lines, const LoadLogQuestion& question, Diagnostics& diagnostics);

}  // namespace ohmroot::supply::detail
