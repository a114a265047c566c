// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <plots/acceptance_figures.hpp>
#include <plots/detail/script.hpp>

namespace ohmroot::plots {
namespace {

using acceptance::CurveJudgement;
using acceptance::TestResult;

constexpr int key_line_px = 27;
constexpr int box_height_px = 330;
constexpr int points_per_curve[] = {7, 5, 9,
                                    11};  // gnuplot's markers: filled circle, square, triangle, diamond down
const detail::LineStyle model_styles[] = {{"solid", 2.0, detail::colour::main},
                                          {"(9,5)", 1.8, detail::colour::main},
                                          {"(4,4)", 1.6, detail::colour::main},
                                          {"(12,4,3,4)", 1.5, detail::colour::main}};
constexpr std::size_t greatest_curve_count = std::size(points_per_curve);

std::string ohms(double value_ohm) {
  return report::with_signs(format_quantity(value_ohm, Dimension::resistance, 3));
}
std::string metres(double value_m) {
  return report::as_given(value_m, Dimension::length);
}

/// The key stands above the box, one line for each entry: readings and model of each curve, band, two kinds of place.
detail::Box box_of(const TestResult& result) {
  const int entry_count = 3 + 2 * static_cast<int>(std::min(result.curves.size(), greatest_curve_count));
  const int top_px = 16 + key_line_px * entry_count;
  return {84, 560, top_px, top_px + box_height_px};
}

struct Axes {
  detail::Axis distance;
  detail::Axis reading;
};

bool is_limit_shown(const TestResult& result) {
  return result.acceptance.accept_below_ohm && std::isfinite(*result.acceptance.accept_below_ohm) &&
         *result.acceptance.accept_below_ohm < 3.0 * result.resistance_ohm->greatest;
}

Axes axes_of(const TestResult& result) {
  double farthest_m = 0.0;
  double highest_ohm = result.resistance_ohm->greatest;
  if (is_limit_shown(result)) highest_ohm = std::max(highest_ohm, *result.acceptance.accept_below_ohm);
  for (const CurveJudgement& judged : result.curves) {
    farthest_m = std::max(farthest_m, judged.curve.current_distance_m);
    for (const double reading_ohm : judged.curve.resistance_ohm)
      highest_ohm = std::max(highest_ohm, reading_ohm);
  }
  return {{0.0, farthest_m}, {0.0, 1.15 * highest_ohm}};
}

void add_data(detail::Script& script, const TestResult& result, const Axes& axes) {
  for (std::size_t i = 0; i < std::min(result.curves.size(), greatest_curve_count); ++i) {
    const CurveJudgement& judged = result.curves[i];
    std::vector<std::vector<double>> points;
    for (std::size_t k = 0; k < judged.curve.potential_distance_m.size(); ++k)
      points.push_back({judged.curve.potential_distance_m[k], judged.curve.resistance_ohm[k]});
    script.data("readings" + std::to_string(i), points);
    std::vector<std::vector<double>> line;
    const TestResult::ModelCurve& model = result.model[i];
    for (std::size_t k = 0; k < model.potential_distance_m.size(); ++k) {
      const double reading_ohm = model.reading_ohm[k];
      const bool is_inside = reading_ohm >= axes.reading.least && reading_ohm <= axes.reading.greatest;
      line.push_back(
          {model.potential_distance_m[k],  // beyond the axes a gap: near the stakes the model runs away
           is_inside ? reading_ohm : std::numeric_limits<double>::quiet_NaN()});
    }
    script.data("model" + std::to_string(i), line);
    if (judged.correct_position_ratio.value > 0.0)
      script.data("right" + std::to_string(i),
                  {{judged.correct_position_ratio.value * judged.curve.current_distance_m,
                    result.resistance_ohm->value}});
    script.data("rule" + std::to_string(i),
                {{0.6180339887 * judged.curve.current_distance_m, axes.reading.least},
                 {0.6180339887 * judged.curve.current_distance_m, axes.reading.greatest}});
  }
  const Estimate& found = *result.resistance_ohm;
  script.data("band", {{axes.distance.least, found.least, found.greatest},
                       {axes.distance.greatest, found.least, found.greatest}});
}

std::string plot_command(const TestResult& result) {
  std::string plot = fmt::format("plot $band using 1:2:3 with filledcurves fc rgb '{}' title {}",
                                 detail::colour::band, detail::quoted("resistance, 90 %"));
  const std::size_t count = std::min(result.curves.size(), greatest_curve_count);
  for (std::size_t i = 0; i < count; ++i) {
    const CurveJudgement& judged = result.curves[i];
    const std::string where = "current stake " + metres(judged.curve.current_distance_m);
    plot += fmt::format(", $rule{} using 1:2 with lines dt (2,4) lw 1.1 lc rgb '{}' {}", i,
                        detail::colour::other, i == 0 ? "title '61.8 %'" : "notitle");
    plot += fmt::format(", $model{} using 1:2 with lines dt {} lw {} lc rgb '{}' title {}", i,
                        model_styles[i].dash, model_styles[i].width_count, model_styles[i].colour,
                        detail::quoted("model, " + where));
    plot += fmt::format(", $readings{} using 1:2 with points pt {} ps 0.9 lc rgb '{}' title {}", i,
                        points_per_curve[i], detail::colour::main, detail::quoted("read, " + where));
    if (judged.correct_position_ratio.value > 0.0)
      plot += fmt::format(", $right{} using 1:2 with points pt 6 ps 1.9 lw 2 lc rgb '{}' {}", i,
                          detail::colour::accent, i == 0 ? "title 'reads right here'" : "notitle");
  }
  return plot;
}

std::string finding(const TestResult& result) {
  const Estimate& found = *result.resistance_ohm;
  std::string words = fmt::format("{}: {} ({} to {})", acceptance::verdict_name(result.verdict),
                                  ohms(found.value), ohms(found.least), ohms(found.greatest));
  words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
  if (result.acceptance.accept_below_ohm && std::isfinite(*result.acceptance.accept_below_ohm))
    words += fmt::format(", acceptance value for the month {}", ohms(*result.acceptance.accept_below_ohm));
  return words + fmt::format("; predicted {} to {}.", ohms(result.prediction_ohm.least),
                             ohms(result.prediction_ohm.greatest));
}

}  // namespace

std::optional<FigureScript> fall_of_potential_figure(const TestResult& result) {
  if (result.curves.empty() || !result.resistance_ohm) return std::nullopt;
  FigureScript figure;
  figure.id = "fall-of-potential";
  figure.caption = finding(result);
  figure.alt_text =
      fmt::format("Chart of the readings of a fall-of-potential test against the distance of the "
                  "potential stake, {} curve{}, with the model through them. {}",
                  result.curves.size(), result.curves.size() == 1 ? "" : "s", figure.caption);
  const Axes axes = axes_of(result);
  const detail::Box box = box_of(result);
  figure.height_px = box.bottom_px + 64;
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, box);
  script.axis('x', axes.distance, "distance of the potential stake [m]");
  script.axis('y', axes.reading, "reading [\u03a9]");
  add_data(script, result, axes);
  std::vector<detail::EdgeLabel> labels{{axes.reading.fraction(result.resistance_ohm->value),
                                         detail::colour::main,
                                         {"resistance " + ohms(result.resistance_ohm->value)}}};
  if (is_limit_shown(result)) {
    const double limit_ohm = *result.acceptance.accept_below_ohm;
    script.level(limit_ohm, {"solid", 2.2, detail::colour::limit});
    labels.push_back(
        {axes.reading.fraction(limit_ohm), detail::colour::limit, {"acceptance value", ohms(limit_ohm)}});
  }
  script.edge_labels(box, std::move(labels));
  script.line("{}", plot_command(result));
  figure.script = script.take();
  return figure;
}

}  // namespace ohmroot::plots
