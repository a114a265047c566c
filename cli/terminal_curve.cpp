// SPDX-License-Identifier: MIT
#include "terminal_curve.hpp"

#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::cli {
namespace {

constexpr int row_count = 12;
constexpr int column_count = 56;
constexpr double least_span = 2.0;  // unit: none; ratio of the ends: a flat curve is drawn flat

struct Axis {
  double least;     // unit: as drawn
  double greatest;  // unit: as drawn

  void take(double value) {
    least = std::min(least, value);
    greatest = std::max(greatest, value);
  }
  void widen() {
    const double missing = least_span / (greatest / least);
    if (missing <= 1.0) return;
    least /= std::sqrt(missing);
    greatest *= std::sqrt(missing);
  }
  [[nodiscard]] std::size_t cell(double value, int count) const {
    const double share = std::log(value / least) / std::log(greatest / least);
    return static_cast<std::size_t>(
        std::clamp(static_cast<int>(std::lround(share * (count - 1))), 0, count - 1));
  }
};

}  // namespace

std::string terminal_curve(const std::vector<CurvePlace>& places) {
  if (places.size() < 2) return {};
  Axis across{places.front().spacing_m, places.front().spacing_m};
  Axis up{places.front().resistivity_ohm_m, places.front().resistivity_ohm_m};
  for (const CurvePlace& place : places) {
    across.take(place.spacing_m);
    up.take(place.resistivity_ohm_m);
  }
  across.widen();
  up.widen();
  std::vector<std::string> rows(row_count, std::string(column_count, ' '));
  for (const CurvePlace& place : places) {
    const std::size_t row = row_count - 1 - up.cell(place.resistivity_ohm_m, row_count);
    rows[row][across.cell(place.spacing_m, column_count)] = place.mark;
  }
  std::string text;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const bool is_end = row == 0 || row + 1 == rows.size();
    const double label = row == 0 ? up.greatest : up.least;
    const std::string margin = is_end ? format_number(label) : std::string();
    std::string line = fmt::format("  {:>8} |{}", margin, rows[row]);
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  const std::string left = format_number(across.least);
  const std::string right = format_number(across.greatest) + " m";
  text += fmt::format("  {:>8} +{:-<{}}\n", "ohm m", "", column_count);
  text += fmt::format("  {:>8}  {}{:>{}}\n", "", left, right, column_count - static_cast<int>(left.size()));
  return text;
}

}  // namespace ohmroot::cli
