// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/contour.hpp>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using study::ShareGrid;
using study::Surroundings;

/// Plan or section, whichever coordinates are asked for.
struct View {
  const ShareGrid& grid;
  const char* across_title;
  const char* along_title;
  bool is_downward;
  std::vector<std::vector<double>> metal;
  std::vector<double> boundaries_m;  // of layers, in the section
};

/// To scale: a metre is as long across as along.
detail::Box box_of(const View& view) {
  const double shape =
      (view.grid.along_to_m - view.grid.along_from_m) / (view.grid.across_to_m - view.grid.across_from_m);
  const int width_px = std::min(480, static_cast<int>(460 / shape));
  return {90, 90 + width_px, 30, 30 + static_cast<int>(std::lround(width_px * shape))};
}

std::string script_text(const View& view, const detail::Canvas& canvas, const detail::Box& box) {
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', {view.grid.across_from_m, view.grid.across_to_m}, view.across_title);
  script.axis('y', {view.grid.along_from_m, view.grid.along_to_m}, view.along_title);
  // In the plane of a rod the highest lines are too close to draw.
  detail::contour_lines(script, view.grid,
                        view.is_downward ? "5, 10, 15, 20, 30, 40, 50, 60"
                                         : "5, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90");
  if (view.is_downward)
    script.line("set yrange [{:.7g}:{:.7g}]", view.grid.along_to_m, view.grid.along_from_m);
  for (const double boundary_m : view.boundaries_m)
    if (boundary_m < view.grid.along_to_m) script.level(boundary_m, {"(4,4)", 1.4, detail::colour::other});
  script.data("metal", view.metal);
  script.line("unset key");
  script.line("plot {}, \\", detail::contour_elements(detail::colour::main));
  script.line("  $metal using 1:2 with linespoints pt 7 ps 0.5 lw 3 lc rgb '{}'", detail::colour::accent);
  return script.take();
}

std::vector<std::vector<double>> metal_from_above(const Surroundings& around) {
  std::vector<std::vector<double>> rows;
  for (const study::ConductorLine& bar : around.conductors)
    rows.insert(rows.end(), {{bar.from_x_m, bar.from_y_m}, {bar.to_x_m, bar.to_y_m}, {std::nan("")}});
  return rows;
}

/// What lies in the plane as lines, what passes through it as points.
std::vector<std::vector<double>> metal_in_plane(const Surroundings& around) {
  std::vector<std::vector<double>> rows;
  for (const study::ConductorLine& bar : around.conductors) {
    const double from_m = bar.from_y_m - around.section_at_y_m;
    const double to_m = bar.to_y_m - around.section_at_y_m;
    if (from_m * to_m > 0) continue;
    if (from_m == 0 && to_m == 0) {
      rows.insert(rows.end(),
                  {{bar.from_x_m, bar.from_depth_m}, {bar.to_x_m, bar.to_depth_m}, {std::nan("")}});
      continue;
    }
    const double part = from_m / (from_m - to_m);
    rows.insert(rows.end(), {{std::lerp(bar.from_x_m, bar.to_x_m, part),
                              std::lerp(bar.from_depth_m, bar.to_depth_m, part)},
                             {std::nan("")}});
  }
  return rows;
}

FigureScript figure_of(const View& view, std::string id, const std::string& what,
                       const std::string& finding) {
  FigureScript figure;
  figure.id = std::move(id);
  const detail::Box box = box_of(view);
  figure.height_px = box.bottom_px + 64;
  figure.caption = report::with_signs(
      fmt::format("{} Lines: potential in per cent of the electrode's, to scale; thick: the electrode. {}",
                  what, finding));
  figure.alt_text = fmt::format("Contour drawing to scale. {} {}", what, finding);
  figure.script = script_text(view, {figure.width_px, figure.height_px}, box);
  return figure;
}

std::string one_metre_words(const Surroundings& around) {
  for (std::size_t i = 0; i < around.distance_m.size(); ++i)
    if (around.distance_m[i] == 1.0)
      return fmt::format("One metre beyond its end the surface takes {} % of it.",
                         format_number(100 * around.surface_share_ratio[i], 2));
  return "";
}

}  // namespace

std::optional<FigureScript> surface_figure(const study::StudyResult& result) {
  if (!result.surroundings) return std::nullopt;
  const Surroundings& around = *result.surroundings;
  return figure_of({around.map, "x [m]", "y [m]", false, metal_from_above(around), {}}, "surface",
                   "The surface around the governing candidate, from above.", one_metre_words(around));
}

std::optional<FigureScript> depth_figure(const study::StudyResult& result) {
  if (!result.surroundings) return std::nullopt;
  const Surroundings& around = *result.surroundings;
  const std::vector<double> boundaries_m =
      result.leakage_curve ? result.leakage_curve->interface_depth_m : std::vector<double>{};
  return figure_of({around.section, "x [m]", "depth [m]", true, metal_in_plane(around), boundaries_m},
                   "depth",
                   fmt::format("The ground around the governing candidate, cut upright at y = {}.",
                               report::as_given(around.section_at_y_m, Dimension::length)),
                   boundaries_m.empty() ? "" : "Dashed: boundaries of layers.");
}

}  // namespace ohmroot::plots
