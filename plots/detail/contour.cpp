// SPDX-License-Identifier: MIT
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <plots/detail/contour.hpp>
#include <string>
#include <vector>

namespace ohmroot::plots::detail {
namespace {

std::vector<std::vector<double>> grid_rows(const study::ShareGrid& grid) {
  const auto at = [](double from, double to, int i, int count) {
    return from + (to - from) * i / (count - 1);
  };
  std::vector<std::vector<double>> rows;
  for (int row = 0; row < grid.along_count; ++row) {
    for (int column = 0; column < grid.across_count; ++column)
      rows.push_back({at(grid.across_from_m, grid.across_to_m, column, grid.across_count),
                      at(grid.along_from_m, grid.along_to_m, row, grid.along_count),
                      100 * grid.share_ratio[static_cast<std::size_t>(row * grid.across_count + column)]});
    rows.push_back({std::nan("")});  // a gap ends a row of the grid
  }
  return rows;
}

}  // namespace

std::string round_levels(const study::ShareGrid& grid) {
  constexpr std::size_t fewest = 4;
  const auto [least, greatest] = std::minmax_element(grid.share_ratio.begin(), grid.share_ratio.end());
  std::vector<double> levels;
  for (const double step : {10.0, 5.0, 2.0, 1.0, 0.5}) {
    levels.clear();
    for (double k = std::floor(100 * *least / step) + 1; k * step < 100 * *greatest; ++k)
      levels.push_back(k * step);
    if (levels.size() >= fewest) break;
  }
  if (levels.empty()) levels.push_back(50 * (*least + *greatest));
  return fmt::format("{:.6g}", fmt::join(levels, ", "));
}

void contour_lines(Script& script, const study::ShareGrid& grid, std::string_view levels) {
  script.line("set style textbox opaque noborder margins 0.3,0.3 fc rgb '#ffffff'");
  script.data("grid", grid_rows(grid));
  script.line("set contour base");
  script.line("set cntrparam levels discrete {}", levels);
  script.line("unset surface");
  script.line("set table $lines");
  script.line("splot $grid using 1:2:3");
  script.line("unset table");
  script.line("set surface");
  script.line("unset contour");
}

std::string contour_elements(std::string_view colour, double line_width) {
  return fmt::format(
      "$lines using 1:2 with lines lw {1} lc rgb '{0}' notitle, $lines using 1:2:(sprintf('%g', $3)) every "
      "40::15 with labels boxed font ',9' tc rgb '{0}' notitle",
      colour, line_width);
}

}  // namespace ohmroot::plots::detail
