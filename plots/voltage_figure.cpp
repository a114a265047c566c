// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using detail::colour::accent;
using detail::colour::main;
using detail::colour::other;
using study::VoltageCurve;

std::string volts(double value_v) {
  return format_quantity(value_v, Dimension::voltage, 3);
}
std::string volts_given(double value_v) {
  return report::as_given(value_v, Dimension::voltage);
}
std::string amperes_given(double value_a) {
  return report::as_given(value_a, Dimension::current);
}
std::string amperes(double value_a) {
  return format_quantity(value_a, Dimension::current, 3);
}

bool has(const VoltageCurve& curve, const std::vector<double>& ordinate) {
  return ordinate.size() == curve.current_a.size();
}

/// The curve's value at the load that the study asks about; nothing where the circuit has no state.
struct Operation {
  std::optional<double> without_v;
  std::optional<double> least_v;
  std::optional<double> greatest_v;
};

Operation operation(const VoltageCurve& curve) {
  const auto value = [&](const std::vector<double>& ordinate) -> std::optional<double> {
    if (!has(curve, ordinate)) return std::nullopt;
    const double v = detail::Curve{curve.current_a, ordinate}.at(curve.operating_current_a);
    return std::isfinite(v) ? std::optional(v) : std::nullopt;
  };
  return {value(curve.without_electrode_v), value(curve.least_v), value(curve.greatest_v)};
}

/// Load at which a curve first rises through the limit; linear between its points. Nothing if it is above
/// from the first point on, or never.
struct Rising {
  const std::vector<double>& current_a;
  const std::vector<double>& met_v;
};
std::optional<double> crossing_a(const Rising& curve, double limit_v) {
  for (std::size_t i = 1; i < curve.met_v.size() && i < curve.current_a.size(); ++i) {
    const double before_v = curve.met_v[i - 1];
    const double after_v = curve.met_v[i];
    if (before_v <= limit_v && after_v > limit_v)
      return std::lerp(curve.current_a[i - 1], curve.current_a[i],
                       (limit_v - before_v) / (after_v - before_v));
  }
  return std::nullopt;
}

/// An electrode without an upper end to its resistance has none to its voltage either, but for the curve
/// without it.
std::string interval_text(const VoltageCurve& curve, const Operation& at) {
  if (!at.least_v) return "no steady state";
  if (!has(curve, curve.greatest_v)) return volts(*at.least_v) + " or more";
  if (!at.greatest_v) return fmt::format("{} up to no steady state", volts(*at.least_v));
  const std::string least = volts(*at.least_v);
  const std::string greatest = volts(*at.greatest_v);
  return least == greatest ? greatest : fmt::format("{} to {}", format_number(*at.least_v, 3), greatest);
}

detail::Axis voltage_axis(const VoltageCurve& curve, double limit_v) {
  double greatest_v = 1.3 * limit_v;
  for (const auto* ordinate : {&curve.without_electrode_v, &curve.least_v, &curve.greatest_v})
    for (const double v : *ordinate)
      if (std::isfinite(v)) greatest_v = std::max(greatest_v, v);
  return {0, 1.08 * greatest_v};
}

/// The last finite value of a curve: where its label belongs.
std::optional<double> end_of(const std::vector<double>& ordinate) {
  const auto last =
      std::find_if(ordinate.rbegin(), ordinate.rend(), [](double v) { return std::isfinite(v); });
  return last == ordinate.rend() ? std::nullopt : std::optional(*last);
}

std::vector<detail::EdgeLabel> edge_labels(const VoltageCurve& curve, const detail::Axis& voltage,
                                           double limit_v) {
  std::vector<detail::EdgeLabel> labels{
      {voltage.fraction(limit_v), detail::colour::limit, {"limit " + volts_given(limit_v)}}};
  if (const auto v = end_of(curve.without_electrode_v))
    labels.push_back({voltage.fraction(*v), other, {"without the electrode"}});
  const auto greatest = end_of(curve.greatest_v);
  const auto least = end_of(curve.least_v);
  if (greatest && least && voltage.fraction(*greatest) - voltage.fraction(*least) > 0.12) {
    labels.push_back({voltage.fraction(*greatest), main, {"with it, at its highest", "resistance"}});
    labels.push_back({voltage.fraction(*least), main, {"with it, at its lowest", "resistance"}});
  } else if (greatest) {
    labels.push_back({voltage.fraction(*greatest), main, {"with the electrode", "(pale: its interval)"}});
  } else if (least) {
    labels.push_back(
        {voltage.fraction(*least), main, {"with it, at its lowest", "resistance (no highest", "is known)"}});
  }
  for (auto& label : labels)
    for (auto& text : label.lines)
      text = report::with_signs(text);
  return labels;
}

void add_limit(detail::Script& script, double limit_v) {
  script.line("set object rectangle from graph 0, first {:.7g} to graph 1, graph 1 behind fc rgb '{}' fs "
              "solid 1.0 noborder",
              limit_v, detail::colour::beyond);
  script.level(limit_v, {"solid", 2.2, detail::colour::limit});
  script.line("set label {} at graph 0.015, graph 0.965 left front noenhanced tc rgb '{}'",
              detail::quoted(report::with_signs("above " + volts_given(limit_v) + ": not allowed")),
              detail::colour::limit);
}

/// Data blocks and the plot elements that show them, for what the study holds.
std::vector<std::string> add_curves(detail::Script& script, const VoltageCurve& curve) {
  const auto rows = [&](const std::vector<double>& first, const std::vector<double>& second) {
    std::vector<std::vector<double>> result;
    for (std::size_t i = 0; i < curve.current_a.size(); ++i)
      result.push_back({curve.current_a[i], first[i], second[i]});
    return result;
  };
  std::vector<std::string> elements;
  const bool has_without = has(curve, curve.without_electrode_v);
  const bool has_greatest = has(curve, curve.greatest_v);
  if (has(curve, curve.least_v) && (has_greatest || has_without)) {
    script.data("with", rows(curve.least_v, has_greatest ? curve.greatest_v : curve.without_electrode_v));
    elements.push_back(
        fmt::format("$with using 1:2:3 with filledcurves fc rgb '{}' notitle", detail::colour::band));
    elements.push_back(fmt::format("$with using 1:2 with lines lw 1.6 lc rgb '{}' notitle", main));
    if (has_greatest)
      elements.push_back(fmt::format("$with using 1:3 with lines lw 2.6 lc rgb '{}' notitle", main));
  }
  if (has_without) {
    script.data("without", rows(curve.without_electrode_v, curve.without_electrode_v));
    elements.push_back(
        fmt::format("$without using 1:2 with lines dt (9,5) lw 2.2 lc rgb '{}' notitle", other));
  }
  return elements;
}

void add_points(detail::Script& script, const VoltageCurve& curve, double limit_v,
                std::vector<std::string>& elements) {
  if (const auto passed_a = crossing_a({curve.current_a, curve.greatest_v}, limit_v)) {
    script.data("passed", {{*passed_a, limit_v}});
    elements.push_back(
        fmt::format("$passed using 1:2 with points pt 6 ps 1.5 lw 2 lc rgb '{}' title {} noenhanced", accent,
                    detail::quoted(report::with_signs("limit passed at " + amperes(*passed_a) +
                                                      ", electrode at its highest resistance"))));
  }
  const Operation at = operation(curve);
  std::vector<std::vector<double>> points;
  for (const auto& v : {at.without_v, at.least_v, at.greatest_v})
    if (v) points.push_back({curve.operating_current_a, *v});
  if (points.empty()) return;
  script.data("operation", points);
  elements.push_back(fmt::format(
      "$operation using 1:2 with points pt 13 ps 1.3 lc rgb '{}' title {} noenhanced", accent,
      detail::quoted(report::with_signs("load that governs, " + amperes_given(curve.operating_current_a)))));
}

std::string script_text(const VoltageCurve& curve, double limit_v, const detail::Canvas& canvas) {
  const detail::Box box{84, 550, 60, canvas.height_px - 64};
  const detail::Axis voltage = voltage_axis(curve, limit_v);
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', {0, curve.current_a.back()}, "load current at nominal voltage [A]");
  script.axis('y', voltage, "MET to true earth [V]");
  add_limit(script, limit_v);
  script.line("set arrow from {0:.7g}, graph 0 to {0:.7g}, graph 1 nohead dt (2,4) lw 1.6 lc rgb '{1}'",
              curve.operating_current_a, accent);
  script.edge_labels(box, edge_labels(curve, voltage, limit_v));
  std::vector<std::string> elements = add_curves(script, curve);
  add_points(script, curve, limit_v, elements);
  script.line("plot {}", fmt::join(elements, ", "));
  return script.take();
}

/// Whether the curve at the electrode's highest resistance keeps below the limit.
std::string limit_words(const VoltageCurve& curve, double limit_v) {
  if (!has(curve, curve.greatest_v)) return "";
  if (const auto passed_a = crossing_a({curve.current_a, curve.greatest_v}, limit_v))
    return fmt::format("; at the electrode's highest resistance the limit of {} is passed at {}",
                       volts_given(limit_v), amperes(*passed_a));
  if (std::any_of(curve.greatest_v.begin(), curve.greatest_v.end(),
                  [&](double v) { return !(v <= limit_v); }))
    return fmt::format(
        "; at the electrode's highest resistance the limit of {} is passed at every load shown",
        volts_given(limit_v));
  return fmt::format("; the limit of {} is not passed at any load shown", volts_given(limit_v));
}

std::string finding(const VoltageCurve& curve, double limit_v) {
  const Operation at = operation(curve);
  std::string text = fmt::format("At {} ({}) the MET stands at ", amperes_given(curve.operating_current_a),
                                 curve.load_description);
  if (has(curve, curve.least_v)) text += interval_text(curve, at) + " to true earth with the electrode";
  if (at.without_v)
    text += fmt::format("{}{} without {}", has(curve, curve.least_v) ? ", " : "", volts(*at.without_v),
                        has(curve, curve.least_v) ? "it" : "an electrode");
  return text + limit_words(curve, limit_v) + ".";
}

}  // namespace

std::optional<FigureScript> voltage_figure(const study::StudyResult& result) {
  if (!result.voltage_curve || result.voltage_curve->current_a.size() < 2) return std::nullopt;
  const VoltageCurve& curve = *result.voltage_curve;
  if (!has(curve, curve.without_electrode_v) && !has(curve, curve.least_v)) return std::nullopt;
  const double limit_v = result.site.limit_v;
  const std::string found = finding(curve, limit_v);
  FigureScript figure;
  figure.id = "voltage";
  figure.height_px = 460;
  figure.caption = report::with_signs(found);
  figure.alt_text = fmt::format(
      "Chart of the voltage of the main earthing terminal (MET) to true earth against load current, "
      "{} to {}. {} Limit: {}.",
      amperes_given(curve.current_a.front()), amperes_given(curve.current_a.back()), found,
      volts_given(limit_v));
  figure.script = script_text(curve, limit_v, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
