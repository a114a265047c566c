// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using study::LeakageCurve;
using study::LeakagePath;

constexpr std::size_t greatest_drawn_count = 5;

double share(const LeakagePath& path) {
  double sum = 0;
  for (std::size_t i = 0; i < path.share_per_m.size(); ++i)
    sum += path.share_per_m[i] * (path.to_m[i] - path.from_m[i]);
  return sum;
}

/// Those that are drawn, the one that carries most first; of many, evenly from most to least.
std::vector<const LeakagePath*> drawn_paths(const LeakageCurve& curve) {
  std::vector<const LeakagePath*> paths;
  for (const LeakagePath& path : curve.paths)
    paths.push_back(&path);
  std::stable_sort(paths.begin(), paths.end(),
                   [](const auto* a, const auto* b) { return share(*a) > share(*b); });
  if (paths.size() <= greatest_drawn_count) return paths;
  std::vector<const LeakagePath*> some;
  for (std::size_t i = 0; i < greatest_drawn_count; ++i)
    some.push_back(paths[i * (paths.size() - 1) / (greatest_drawn_count - 1)]);
  return some;
}

std::string percent_text(double ratio) {
  return format_number(100 * ratio, 3) + " %";
}

/// Ends of the drawn line: the bar's own ends, which the elements may pass by a tenth of a radius.
struct Extent {
  double least_m;
  double greatest_m;
};

Extent extent_of(const LeakageCurve& curve) {
  Extent extent{curve.paths.front().from_m.front(), 0.0};
  for (const LeakagePath& path : curve.paths) {
    extent.least_m = std::min(extent.least_m, *std::min_element(path.from_m.begin(), path.from_m.end()));
    extent.greatest_m = std::max(extent.greatest_m, *std::max_element(path.to_m.begin(), path.to_m.end()));
  }
  return extent;
}

std::vector<std::vector<double>> steps_of(const LeakagePath& path) {
  std::vector<std::size_t> order(path.from_m.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return path.from_m[a] < path.from_m[b]; });
  std::vector<std::vector<double>> rows;
  for (const std::size_t i : order) {
    rows.push_back({path.from_m[i], 100 * path.share_per_m[i]});
    rows.push_back({path.to_m[i], 100 * path.share_per_m[i]});
  }
  return rows;
}

std::string abscissa_title(const LeakageCurve& curve) {
  return curve.is_depth ? "depth [m]" : "along the conductor from its start [m]";
}

/// Upright lines, and one label in the widest room between them.
void add_boundaries(detail::Script& script, const std::vector<double>& depth_m, double deepest_m) {
  std::vector<double> edges{0.0};
  for (const double boundary_m : depth_m) {
    if (boundary_m >= deepest_m) continue;
    edges.push_back(boundary_m);
    script.line(
        "set arrow from first {0:.7g}, graph 0 to first {0:.7g}, graph 1 nohead front dt (4,4) lw 1.4 lc "
        "rgb '{1}'",
        boundary_m, detail::colour::other);
  }
  if (edges.size() == 1) return;
  edges.push_back(deepest_m);
  std::size_t widest = 0;
  for (std::size_t i = 1; i + 1 < edges.size(); ++i)
    if (edges[i + 1] - edges[i] > edges[widest + 1] - edges[widest]) widest = i;
  const bool is_before = widest == 0;  // the room begins at the surface, so the line is at its end
  script.line("set label {} at first {:.7g}, graph 0.95 {} offset {},0 noenhanced tc rgb '{}'",
              detail::quoted(edges.size() == 3 ? "layer boundary" : "layer boundaries"),
              edges[is_before ? 1 : widest], is_before ? "right" : "left", is_before ? -0.5 : 0.5,
              detail::colour::other);
}

std::string script_text(const LeakageCurve& curve, const detail::Canvas& canvas) {
  const std::vector<const LeakagePath*> paths = drawn_paths(curve);
  const detail::Box box{84, 560, 20, canvas.height_px - 64};
  std::vector<double> densities;  // the tip is many times as dense as the rest, hence the log axis
  for (const LeakagePath* path : paths)
    for (const double density : path->share_per_m)
      if (density > 0) densities.push_back(100 * density);
  const Extent extent = extent_of(curve);
  const detail::Axis ordinate = detail::log_axis(densities, {1.4, 1.6});
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', {std::max(0.0, extent.least_m), extent.greatest_m}, abscissa_title(curve));
  script.axis('y', ordinate, "share of the current [% per m]");
  if (curve.is_depth) add_boundaries(script, curve.interface_depth_m, extent.greatest_m);
  // Each line has its own dash, width and label; colour is not needed to tell them apart.
  const detail::LineStyle styles[] = {{"solid", 2.6, detail::colour::main},
                                      {"(10,4)", 2.2, detail::colour::accent},
                                      {"(3,3)", 2.0, detail::colour::limit},
                                      {"solid", 1.1, detail::colour::other},
                                      {"(10,3,2,3)", 1.6, detail::colour::main}};
  std::vector<detail::EdgeLabel> labels;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    const auto rows = steps_of(*paths[i]);
    script.data("path" + std::to_string(i + 1), rows);
    labels.push_back({ordinate.fraction(rows.back()[1]),
                      styles[i].colour,
                      {paths[i]->name + ":", report::with_signs(percent_text(share(*paths[i]))) +
                                                 (paths[i]->name.find("alike") == std::string::npos &&
                                                          paths[i]->name.find(" and ") == std::string::npos
                                                      ? " of the current"
                                                      : " each")}});
  }
  script.edge_labels(box, labels);
  for (std::size_t i = 0; i < paths.size(); ++i)
    script.line("{}$path{} using 1:2 with lines dt {} lw {} lc rgb '{}' notitle{}", i == 0 ? "plot " : "  ",
                i + 1, styles[i].dash, styles[i].width_count, styles[i].colour,
                i + 1 < paths.size() ? ", \\" : "");
  return script.take();
}

/// Where the current leaves most, in words.
std::string finding(const LeakageCurve& curve) {
  const std::vector<const LeakagePath*> paths = drawn_paths(curve);
  const LeakagePath& most = *paths.front();
  const auto densest = std::max_element(most.share_per_m.begin(), most.share_per_m.end());
  const auto index = static_cast<std::size_t>(densest - most.share_per_m.begin());
  const std::string place = format_quantity((most.from_m[index] + most.to_m[index]) / 2, Dimension::length);
  std::string words =
      fmt::format("The current leaves most densely {} {} ({} per metre of {}).",
                  curve.is_depth ? "at a depth of" : "at", place, percent_text(*densest), most.name);
  if (paths.size() > 1)
    words +=
        fmt::format(" The conductors carry from {} ({}) to {} ({}) each.", percent_text(share(*paths.back())),
                    paths.back()->name, percent_text(share(most)), most.name);
  if (curve.paths.size() > paths.size())
    words += fmt::format(" {} of {} different conductors are drawn, from the most to the least loaded.",
                         paths.size(), curve.paths.size());
  return words;
}

}  // namespace

std::optional<FigureScript> leakage_figure(const study::StudyResult& result) {
  if (!result.leakage_curve || result.leakage_curve->paths.empty()) return std::nullopt;
  const LeakageCurve& curve = *result.leakage_curve;
  FigureScript figure;
  figure.id = "leakage";
  figure.height_px = 380;
  figure.caption = report::with_signs(
      finding(curve) +
      " Field solution of the governing candidate in its middle soil; each step is one element.");
  figure.alt_text =
      fmt::format("Chart of the share of the current that leaves each metre of conductor, against {}. {}",
                  abscissa_title(curve), finding(curve));
  figure.script = script_text(curve, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
