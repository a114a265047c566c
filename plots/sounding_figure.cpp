// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

std::string ohm_m(double value_ohm_m) {
  return format_quantity(value_ohm_m, Dimension::resistivity, 3);
}
std::string metres(double value_m) {
  return report::as_given(value_m, Dimension::length);
}

struct Point {
  double spacing_m;
  double resistivity_ohm_m;
  double relative_error_ratio;
  std::optional<double> residual_ratio;
  bool is_doubtful;
};

/// Readings of one line of stakes: they share a marker.
struct Traverse {
  std::string name;
  std::vector<Point> points;
};

std::vector<Traverse> traverses(const study::SoilPicture& soil) {
  std::vector<Traverse> found;
  for (std::size_t i = 0; i < soil.readings.size(); ++i) {
    const auto& reading = soil.readings[i];
    auto traverse = std::find_if(found.begin(), found.end(),
                                 [&](const Traverse& t) { return t.name == reading.traverse; });
    if (traverse == found.end()) traverse = found.insert(found.end(), {reading.traverse, {}});
    const bool is_doubtful = std::any_of(soil.doubts.begin(), soil.doubts.end(),
                                         [&](const auto& doubt) { return doubt.reading_index == i; });
    std::optional<double> residual_ratio;
    if (soil.interpretation && i < soil.interpretation->chosen().residual_ratio.size())
      residual_ratio = soil.interpretation->chosen().residual_ratio[i];
    traverse->points.push_back({sounding::plotted_spacing_m(reading), soil.apparent_resistivity_ohm_m.at(i),
                                reading.relative_error_ratio, residual_ratio, is_doubtful});
  }
  return found;
}

/// Everything that the parts of the figure need, gathered once.
struct Content {
  std::vector<Traverse> traverses;
  std::vector<Point> points;  // of all traverses, by spacing
  bool has_wenner = false;
  bool has_schlumberger = false;
  std::size_t doubtful_count = 0;
};

Content gather(const study::SoilPicture& soil) {
  Content content{traverses(soil), {}};
  for (const Traverse& traverse : content.traverses)
    content.points.insert(content.points.end(), traverse.points.begin(), traverse.points.end());
  std::stable_sort(content.points.begin(), content.points.end(),
                   [](const Point& a, const Point& b) { return a.spacing_m < b.spacing_m; });
  for (const auto& reading : soil.readings)
    (reading.array == sounding::Array::wenner ? content.has_wenner : content.has_schlumberger) = true;
  content.doubtful_count = static_cast<std::size_t>(std::count_if(
      content.points.begin(), content.points.end(), [](const Point& p) { return p.is_doubtful; }));
  return content;
}

std::string spacing_title(const Content& content) {
  if (content.has_wenner && content.has_schlumberger) return "spacing a (Wenner) or AB/2 (Schlumberger) [m]";
  return content.has_wenner ? "stake spacing a [m]" : "half current-stake distance AB/2 [m]";
}

struct Axes {
  detail::Axis spacing;
  detail::Axis resistivity;
};

/// Ranges with room for error bars and for the model beyond the readings; never so flat that a decade up
/// would not have the length of a decade across.
Axes axes(const Content& content, const std::optional<study::SoundingCurve>& curve) {
  std::vector<double> spacings;
  std::vector<double> resistivities;
  for (const Point& point : content.points) {
    spacings.push_back(point.spacing_m);
    resistivities.push_back(point.resistivity_ohm_m * (1 + point.relative_error_ratio));
    resistivities.push_back(point.resistivity_ohm_m / (1 + point.relative_error_ratio));
  }
  Axes result{detail::log_axis(spacings, {1.5, 2.0}), {}};
  if (curve)
    for (std::size_t i = 0; i < curve->spacing_m.size(); ++i)
      if (curve->spacing_m[i] >= result.spacing.least && curve->spacing_m[i] <= result.spacing.greatest)
        resistivities.push_back(curve->fitted_ohm_m.at(i));
  result.resistivity = detail::log_axis(resistivities, {1.25, 1.25});
  const double missing_decades = 0.45 * result.spacing.decade_count() - result.resistivity.decade_count();
  if (missing_decades > 0) {
    const double half_ratio = std::pow(10.0, missing_decades / 2);
    result.resistivity.least /= half_ratio;
    result.resistivity.greatest *= half_ratio;
  }
  return result;
}

constexpr std::array filled_marker{7, 5, 9, 13};
constexpr std::array hollow_marker{6, 4, 8, 12};

/// Markers with error bars; doubtful readings hollow.
void plot_readings(detail::Script& script, const Content& content) {
  bool is_hollow_explained = false;
  for (std::size_t t = 0; t < content.traverses.size(); ++t) {
    const std::size_t marker = t % filled_marker.size();
    const std::string& name = content.traverses[t].name;
    const std::string title = name.empty() ? "reading" : "reading, line " + name;
    script.line(
        "  $sure{} using 1:2:3:4 with yerrorbars pt {} ps 1.1 lw 1.4 lc rgb '{}' title {} noenhanced, \\", t,
        filled_marker[marker], detail::colour::ink, detail::quoted(title));
    if (std::none_of(content.traverses[t].points.begin(), content.traverses[t].points.end(),
                     [](const Point& p) { return p.is_doubtful; }))
      continue;
    script.line("  $doubt{} using 1:2:3:4 with yerrorbars pt {} ps 1.3 lw 1.4 lc rgb '{}' {}, \\", t,
                hollow_marker[marker], detail::colour::accent,
                is_hollow_explained ? "notitle" : "title 'doubtful reading (hollow)' noenhanced");
    is_hollow_explained = true;
  }
}

void add_data(detail::Script& script, const Content& content,
              const std::optional<study::SoundingCurve>& curve) {
  for (std::size_t t = 0; t < content.traverses.size(); ++t)
    for (const bool doubtful : {false, true}) {
      std::vector<std::vector<double>> rows;
      for (const Point& p : content.traverses[t].points)
        if (p.is_doubtful == doubtful)
          rows.push_back({p.spacing_m, p.resistivity_ohm_m,
                          p.resistivity_ohm_m / (1 + p.relative_error_ratio),
                          p.resistivity_ohm_m * (1 + p.relative_error_ratio)});
      script.data(fmt::format("{}{}", doubtful ? "doubt" : "sure", t), rows);
    }
  std::vector<std::vector<double>> residuals;
  for (const Point& p : content.points)
    if (p.residual_ratio) residuals.push_back({p.spacing_m, 100 * std::expm1(*p.residual_ratio)});
  script.data("residual", residuals);
  if (!curve) return;
  std::vector<std::vector<double>> whole;
  std::vector<std::vector<double>> measured;
  for (std::size_t i = 0; i < curve->spacing_m.size(); ++i) {
    whole.push_back({curve->spacing_m[i], curve->fitted_ohm_m.at(i)});
    if (curve->spacing_m[i] >= content.points.front().spacing_m * (1 - 1e-9) &&
        curve->spacing_m[i] <= content.points.back().spacing_m * (1 + 1e-9))
      measured.push_back(whole.back());
  }
  if (!curve->least_ohm_m.empty()) {
    std::vector<std::vector<double>> band;
    for (std::size_t i = 0; i < curve->spacing_m.size(); ++i)
      band.push_back({curve->spacing_m[i], curve->least_ohm_m.at(i), curve->greatest_ohm_m.at(i)});
    script.data("band", band);
  }
  script.data("model", whole);
  script.data("measured", measured);
}

/// Small panel below: how far each reading lies from the model.
void plot_residuals(detail::Script& script, const Content& content) {
  double greatest_percent = 10;
  for (const Point& p : content.points)
    if (p.residual_ratio)
      greatest_percent = std::max(greatest_percent, std::abs(100 * std::expm1(*p.residual_ratio)));
  const double end_percent = 1.15 * greatest_percent;
  script.line("unset logscale y");
  script.line("set yrange [{:.4g}:{:.4g}]", -end_percent, end_percent);
  const double tick_percent = greatest_percent > 40   ? std::ceil(greatest_percent / 10) * 10
                              : greatest_percent > 15 ? 20
                                                      : 10;
  script.line("set ytics ({0:g}, 0, {1:g})", -tick_percent, tick_percent);
  script.line("set ylabel 'off model [%]' noenhanced");
  script.line("unset key");
  script.line("plot 0 with lines lw 1.2 lc rgb '{0}' notitle, "
              "$residual using 1:2 with impulses lw 2.5 lc rgb '{1}' notitle, "
              "$residual using 1:2 with points pt 7 ps 0.7 lc rgb '{1}' notitle",
              detail::colour::ink, detail::colour::main);
}

struct Layout {
  detail::Box upper;
  detail::Box lower;  // residuals
  detail::Canvas canvas;
  bool has_residuals;
};

/// Band and model, one for each line of stakes, and the hollow ones.
int key_entry_count(const Content& content) {
  return 2 + static_cast<int>(content.traverses.size()) + (content.doubtful_count > 0 ? 1 : 0);
}

/// A decade has the same length up and across, so the height follows from the ranges.
Layout layout(const Content& content, const Axes& ranges) {
  const double steepness_ratio = ranges.resistivity.decade_count() / ranges.spacing.decade_count();
  const int width_px = std::min(640, static_cast<int>(400 / steepness_ratio));
  const int top_px = 16 + 25 * key_entry_count(content);
  const int height_px = static_cast<int>(std::lround(width_px * steepness_ratio));
  const detail::Box upper{90, 90 + width_px, top_px, top_px + height_px};
  const detail::Box lower{upper.left_px, upper.right_px, upper.bottom_px + 26, upper.bottom_px + 100};
  const bool has_residuals = std::any_of(content.points.begin(), content.points.end(),
                                         [](const Point& p) { return p.residual_ratio.has_value(); });
  return {upper, lower, {760, (has_residuals ? lower : upper).bottom_px + 64}, has_residuals};
}

std::string model_name(const study::SoilPicture& soil) {
  const int layer_count = soil.interpretation ? soil.interpretation->chosen_layer_count : 1;
  if (layer_count == 1) return "uniform model";
  return layer_count == 2 ? "two-layer model" : fmt::format("{}-layer model", layer_count);
}

std::string script_text(const study::StudyResult& result, const Content& content, const Axes& ranges,
                        const Layout& layout) {
  using TickText = detail::Script::TickText;
  detail::Script script;
  script.begin();
  add_data(script, content, result.sounding_curve);
  script.line("set multiplot");
  script.place(layout.canvas, layout.upper);
  if (layout.has_residuals)
    script.axis('x', ranges.spacing, "", TickText::none);
  else
    script.axis('x', ranges.spacing, spacing_title(content));
  script.axis('y', ranges.resistivity, "apparent resistivity [\u03a9\u00b7m]");
  script.line("plot \\");
  if (result.sounding_curve) {
    if (!result.sounding_curve->least_ohm_m.empty())
      script.line("  $band using 1:2:3 with filledcurves fc rgb '{}' title 'soils that the readings allow, 5 "
                  "to 95 %' "
                  "noenhanced, \\",
                  detail::colour::band);
    script.line("  $model using 1:2 with lines dt (9,6) lw 1.6 lc rgb '{}' notitle, \\",
                detail::colour::main);
    script.line("  $measured using 1:2 with lines lw 2.6 lc rgb '{}' title {} noenhanced, \\",
                detail::colour::main,
                detail::quoted(model_name(result.soil) + " (dashed where there are no readings)"));
  }
  plot_readings(script, content);
  script.line("  1/0 notitle");
  if (layout.has_residuals) {
    script.place(layout.canvas, layout.lower);
    script.axis('x', ranges.spacing, spacing_title(content));
    plot_residuals(script, content);
  }
  script.line("unset multiplot");
  return script.take();
}

/// What the readings say, in one sentence; quantities as plain text.
std::string finding(const study::SoilPicture& soil, const Content& content) {
  const Point& first = content.points.front();
  const Point& last = content.points.back();
  const double change_ratio = last.resistivity_ohm_m / first.resistivity_ohm_m;
  const std::string_view course = change_ratio > 1.25  ? "rises"
                                  : change_ratio < 0.8 ? "falls"
                                                       : "changes little,";
  std::string text = content.points.size() == 1
                         ? fmt::format("The one reading gives an apparent resistivity of {} at {} spacing",
                                       ohm_m(first.resistivity_ohm_m), metres(first.spacing_m))
                         : fmt::format("Apparent resistivity {} from {} at {} spacing to {} at {}", course,
                                       ohm_m(first.resistivity_ohm_m), metres(first.spacing_m),
                                       ohm_m(last.resistivity_ohm_m), metres(last.spacing_m));
  if (soil.interpretation)
    text += fmt::format("; the {} meets the {} within {} % (root mean square)", model_name(soil),
                        content.points.size() == 1 ? "reading"
                                                   : fmt::format("{} readings", content.points.size()),
                        format_number(100 * soil.interpretation->chosen().misfit_ratio, 2));
  return text + ".";
}

std::string doubt_sentence(const Content& content) {
  if (content.doubtful_count == 0) return "";
  return content.doubtful_count == 1
             ? " One doubtful reading is drawn hollow; the table of readings says why."
             : fmt::format(" {} doubtful readings are drawn hollow; the table of readings "
                           "says why.",
                           content.doubtful_count);
}

}  // namespace

std::optional<FigureScript> sounding_figure(const study::StudyResult& result) {
  if (result.soil.readings.empty()) return std::nullopt;
  const Content content = gather(result.soil);
  const Axes ranges = axes(content, result.sounding_curve);
  const Layout frame = layout(content, ranges);
  const std::string found = finding(result.soil, content);

  FigureScript figure;
  figure.id = "sounding";
  figure.caption = report::with_signs(
      found +
      " Bars: one standard error of the reading. Lower panel: how far each reading lies off the model." +
      doubt_sentence(content));
  const auto by_resistivity =
      std::minmax_element(content.points.begin(), content.points.end(), [](const Point& a, const Point& b) {
        return a.resistivity_ohm_m < b.resistivity_ohm_m;
      });
  figure.alt_text =
      fmt::format("Chart of apparent resistivity against spacing, both axes logarithmic. {} Range of the "
                  "readings: {} to {}, at spacings of {} to {}.{}",
                  found, ohm_m(by_resistivity.first->resistivity_ohm_m),
                  ohm_m(by_resistivity.second->resistivity_ohm_m), metres(content.points.front().spacing_m),
                  metres(content.points.back().spacing_m), doubt_sentence(content));
  figure.script = script_text(result, content, ranges, frame);
  figure.width_px = frame.canvas.width_px;
  figure.height_px = frame.canvas.height_px;
  return figure;
}

}  // namespace ohmroot::plots
