// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>
#include <ohmroot/supply/published.hpp>

#include <functional>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using study::BlindRegion;

struct Cells {
  const BlindRegion& region;
  double limit_v;

  [[nodiscard]] double step_a() const { return region.greatest_current_a / (region.count - 1); }
  [[nodiscard]] std::size_t index(int row, int column) const {
    return static_cast<std::size_t>(row * region.count + column);
  }
  [[nodiscard]] bool is_over(int row, int column) const { return region.met_v[index(row, column)] > limit_v; }
  [[nodiscard]] bool is_blind(int row, int column) const {
    const supply::VoltageWindow window;
    const double shown_v = region.line_to_neutral_v[index(row, column)];
    return is_over(row, column) && shown_v >= window.least_v && shown_v <= window.greatest_v;
  }

  /// Neighbouring cells of a row as one rectangle: middle x, middle y, half width, half height.
  [[nodiscard]] std::vector<std::vector<double>>
  rectangles(const std::function<bool(int, int)>& holds) const {
    std::vector<std::vector<double>> all;
    const double half_a = 0.5 * step_a();
    for (int row = 0; row < region.count; ++row) {
      for (int from = 0; from < region.count; ++from) {
        if (!holds(row, from)) continue;
        int to = from;
        while (to + 1 < region.count && holds(row, to + 1))
          ++to;
        all.push_back({0.5 * (from + to) * step_a(), row * step_a(), half_a * (to - from + 1), half_a});
        from = to;
      }
    }
    return all;
  }
};

std::string script_text(const BlindRegion& region, double limit_v, const detail::Canvas& canvas) {
  const Cells cells{region, limit_v};
  const detail::Box box{84, canvas.width_px - 30, 96, canvas.height_px - 64};
  const detail::Axis axis{0.0, region.greatest_current_a};
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', axis, fmt::format("current on L{}, which the device watches [A]", region.watched_phase));
  script.axis('y', axis, fmt::format("current on L{} [A]", region.other_phase));
  script.data("over", cells.rectangles([&](int row, int column) {
    return cells.is_over(row, column) && !cells.is_blind(row, column);
  }));
  script.data("blind", cells.rectangles([&](int row, int column) { return cells.is_blind(row, column); }));
  script.data("site", {{region.site_watched_least_a, region.site_other_least_a},
                       {region.site_watched_greatest_a, region.site_other_least_a},
                       {region.site_watched_greatest_a, region.site_other_greatest_a},
                       {region.site_watched_least_a, region.site_other_greatest_a},
                       {region.site_watched_least_a, region.site_other_least_a}});
  script.line(
      "set key at graph 0, graph 1.03 left bottom vertical maxrows 3 Left reverse samplen 2.2 noenhanced");
  std::string elements;
  const auto add = [&](const std::string& element) { elements += (elements.empty() ? "" : ", ") + element; };
  add(fmt::format(
      "$over using 1:2:3:4 with boxxyerror fs solid noborder fc rgb '{}' title {}", detail::colour::band,
      detail::quoted(report::with_signs(fmt::format("MET above {:.4g} V, device disconnects", limit_v)))));
  add(fmt::format("$blind using 1:2:3:4 with boxxyerror fs solid noborder fc rgb '{}' title {}",
                  detail::colour::limit,
                  detail::quoted(report::with_signs(
                      fmt::format("MET above {:.4g} V, device does not see it", limit_v)))));
  add(fmt::format("$site using 1:2 with lines lw 2.6 dt (9,5) lc rgb '{}' title {}", detail::colour::ink,
                  detail::quoted("loads as stated for this site")));
  script.line("plot {}", elements);
  return script.take();
}

}  // namespace

std::optional<FigureScript> blind_region_figure(const study::StudyResult& result) {
  if (!result.blind_region) return std::nullopt;
  const BlindRegion& region = *result.blind_region;
  const double limit_v = result.site.limit_v;
  const Cells cells{region, limit_v};
  int over_count = 0;
  int blind_count = 0;
  for (int row = 0; row < region.count; ++row) {
    for (int column = 0; column < region.count; ++column) {
      over_count += cells.is_over(row, column) ? 1 : 0;
      blind_count += cells.is_blind(row, column) ? 1 : 0;
    }
  }
  const std::string found = fmt::format(
      "With L{} at {:.3g} A and {:.4g} V at the source, the MET is above {:.4g} V in {:.0f} % of this field "
      "of loads; in "
      "{:.0f} % of it a device that watches L{} reads inside its window of 207 to 253 V and stays closed",
      region.third_phase, region.third_current_a, region.source_v, limit_v,
      100.0 * over_count / (region.count * region.count), 100.0 * blind_count / (region.count * region.count),
      region.watched_phase);
  FigureScript figure;
  figure.id = "blind-region";
  figure.caption =
      report::with_signs(found + ". Constant impedance, no way to earth; broken frame: the loads as stated.");
  figure.alt_text = report::with_signs("Chart of two phase currents. " + found + ".");
  figure.script = script_text(region, limit_v, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
