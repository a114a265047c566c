// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using detail::colour::accent;
using detail::colour::limit;
using detail::colour::main;
using detail::colour::other;
using study::SeparationCurve;

std::string percent(double ratio) {
  return format_number(100.0 * ratio, 2) + " %";
}
std::string metres(double value_m) {
  return report::as_given(value_m, Dimension::length);
}

std::vector<std::vector<double>> rows_of(const std::vector<double>& distance_m,
                                         const std::vector<double>& share) {
  std::vector<std::vector<double>> rows;
  for (std::size_t i = 0; i < distance_m.size(); ++i)
    rows.push_back({distance_m[i], 100.0 * share[i]});
  return rows;
}

std::vector<detail::EdgeLabel> edge_labels(const SeparationCurve& curve, const detail::Axis& share) {
  const auto height = [&](const std::vector<double>& ratio) { return share.fraction(100.0 * ratio.back()); };
  std::vector<detail::EdgeLabel> labels{{height(curve.share_ratio),
                                         main,
                                         {curve.is_layered ? "this metal in the" : "this metal",
                                          curve.is_layered ? "site's layers" : "in this soil"}}};
  if (curve.is_layered)
    labels.push_back({height(curve.uniform_share_ratio), main, {"this metal in", "uniform soil"}});
  labels.push_back({height(curve.rod_table_share_ratio), other, {"table of one", "2.4 m rod"}});
  if (curve.level_ratio < 1.0)
    labels.push_back(
        {share.fraction(100.0 * curve.level_ratio), limit, {"limit of TT over", "the metal's voltage"}});
  return labels;
}

/// The distances of practice: upright lines, and the share there as points.
void add_practice(detail::Script& script, const SeparationCurve& curve) {
  std::string names;
  for (std::size_t i = 0; i < curve.practice_m.size(); ++i) {
    script.line("set arrow from {0:.7g}, graph 0 to {0:.7g}, graph 1 nohead dt (2,4) lw 1.6 lc rgb '{1}'",
                curve.practice_m[i], accent);
    names += (i == 0                             ? ""
              : i + 1 == curve.practice_m.size() ? " and "
                                                 : ", ") +
             fmt::format("{:.4g}", curve.practice_m[i]);
  }
  const std::array<std::string, 3> lines{"met in practice:", names + " m,", "sources disagree"};
  for (std::size_t i = 0; i < lines.size(); ++i)
    script.line("set label {} at graph 0.985, graph {:.7g} right front noenhanced tc rgb '{}'",
                detail::quoted(report::with_signs(lines.at(i))), 0.955 - 0.05 * static_cast<double>(i),
                accent);
}

std::string script_text(const SeparationCurve& curve, const detail::Canvas& canvas) {
  const detail::Box box{84, 570, 24, canvas.height_px - 64};
  const detail::Axis distance{curve.distance_m.front(), curve.distance_m.back(), true};
  const detail::Axis share{0.0, 100.0};
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', distance, "distance from the metal's axis, in plan [m]");
  script.axis('y', share, "share of the metal's potential [%]");
  add_practice(script, curve);
  if (curve.level_ratio < 1.0) script.level(100.0 * curve.level_ratio, {"solid", 2.2, limit});
  script.edge_labels(box, edge_labels(curve, share));
  script.data("here", rows_of(curve.distance_m, curve.share_ratio));
  script.data("uniform", rows_of(curve.distance_m, curve.uniform_share_ratio));
  script.data("table", rows_of(curve.distance_m, curve.rod_table_share_ratio));
  script.data("practice", rows_of(curve.practice_m, curve.practice_share_ratio));
  script.line("unset key");
  std::string elements = fmt::format("$table using 1:2 with lines dt (9,5) lw 2.2 lc rgb '{}'", other);
  if (curve.is_layered)
    elements += fmt::format(", $uniform using 1:2 with lines dt (3,4) lw 1.6 lc rgb '{}'", main);
  elements += fmt::format(", $here using 1:2 with lines lw 2.6 lc rgb '{}'", main);
  elements += fmt::format(", $practice using 1:2 with points pt 7 ps 0.9 lc rgb '{}'", accent);
  if (curve.at_level && curve.at_level->status == routes::DistanceStatus::found) {
    script.data("level", {{curve.at_level->distance_m, 100.0 * curve.at_level->share_ratio}});
    elements += fmt::format(", $level using 1:2 with points pt 6 ps 1.5 lw 2 lc rgb '{}'", limit);
  }
  script.line("plot {}", elements);
  return script.take();
}

std::string finding(const SeparationCurve& curve) {
  const auto [least, greatest] =
      std::minmax_element(curve.practice_share_ratio.begin(), curve.practice_share_ratio.end());
  std::string text = fmt::format(
      "At the distances met in practice, {} to {}, the surface takes {} to {} of the "
      "potential of the metal on the PME earth",
      metres(curve.practice_m.front()), metres(curve.practice_m.back()), percent(*least), percent(*greatest));
  if (curve.at_level) text += "; " + curve.at_level->sentence;
  return text + ".";
}

}  // namespace

std::optional<FigureScript> separation_figure(const study::StudyResult& result) {
  if (!result.separation || !result.separation->curve) return std::nullopt;
  const SeparationCurve& curve = *result.separation->curve;
  const std::string found = finding(curve);
  FigureScript figure;
  figure.id = "separation";
  figure.caption = report::with_signs(
      found + (curve.is_layered ? " Dotted: the same in uniform soil." : "") +
      " Dashed: what a table of one rod says; it is not on the safe side for longer metal.");
  figure.alt_text = report::with_signs(fmt::format(
      "Chart of the share of the metal's potential that the surface takes against the distance from it, {} "
      "to {}. {} Sources disagree on the distances; they are common practice.",
      metres(curve.distance_m.front()), metres(curve.distance_m.back()), found));
  figure.script = script_text(curve, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
