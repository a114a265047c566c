// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <plots/detail/script.hpp>
#include <plots/loads_figures.hpp>

namespace ohmroot::plots {
namespace {

using supply::LoadLogReport;
using supply::LogStretch;

constexpr double highest_shown_v = 400.0;  // an instant without operating point is drawn at the top
const detail::Box plot_box{84, 580, 56, 416};

std::string volts(double value_v) {
  if (!std::isfinite(value_v)) return "no operating point";
  return report::with_signs(format_quantity(value_v, Dimension::voltage, 3));
}
std::string given(double value_v) {
  return report::with_signs(report::as_given(value_v, Dimension::voltage));
}
std::string percent(double ratio) {
  return fmt::format("{:.3g} %", 100.0 * ratio);
}

detail::Axis voltage_axis(double greatest_v, double limit_v) {
  return {0.0, 1.08 * std::max(1.3 * limit_v, std::min(greatest_v, highest_shown_v))};
}

detail::Script started(const FigureScript& figure, const detail::Axis& voltage, double limit_v) {
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, plot_box);
  script.axis('y', voltage, "MET to true earth, had the PEN broken [V]");
  script.level(limit_v, {"solid", 2.2, detail::colour::limit});
  return script;
}

std::vector<detail::EdgeLabel> limit_label(const detail::Axis& voltage, double limit_v) {
  return {{voltage.fraction(limit_v), detail::colour::limit, {"limit " + given(limit_v)}}};
}

std::string over_words(const LoadLogReport& report, double limit_v) {
  std::string words = fmt::format(
      "without electrode the MET would stand above {} for {} of the logged time, at most at {}",
      given(limit_v), percent(report.without.over_limit_ratio), volts(report.without.worst.met_v));
  if (report.with) {
    words += fmt::format("; with the candidate for {}, at most at {}", percent(report.with->over_limit_ratio),
                         volts(report.with->worst.met_v));
  }
  return words;
}

void describe(FigureScript& figure, const std::string& what, const std::string& finding) {
  figure.caption = finding + ".";
  figure.caption[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(figure.caption[0])));
  figure.alt_text = what + " " + figure.caption;
}

}  // namespace

FigureScript log_time_figure(const LoadLogReport& report, double limit_v) {
  FigureScript figure;
  figure.id = "loads-time";
  describe(figure,
           fmt::format("Chart of the MET voltage from {} to {}.", report.first_time, report.last_time),
           over_words(report, limit_v));
  const detail::Axis voltage = voltage_axis(report.without.worst.met_v, limit_v);
  detail::Script script = started(figure, voltage, limit_v);
  const double end_s = report.stretches.empty() ? 1.0 : report.stretches.back().start_s + report.stretch_s;
  const bool is_days = end_s > 2.0 * 86400.0;
  const double unit_s = is_days ? 86400.0 : 3600.0;
  script.axis('x', {0.0, std::max(end_s, 1.0) / unit_s},
              fmt::format("{} since {}", is_days ? "days" : "hours", report.first_time));
  std::vector<std::vector<double>> band;
  std::vector<std::vector<double>> with;
  double before_end_s = 0.0;
  for (const LogStretch& stretch : report.stretches) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    if (stretch.start_s > before_end_s + 0.5 * report.stretch_s) {
      band.push_back({none, none, none});  // a gap
      with.push_back({none, none});
    }
    before_end_s = stretch.start_s + report.stretch_s;
    for (const double at_s : {stretch.start_s, before_end_s}) {
      band.push_back({at_s / unit_s, std::min(stretch.least_v, voltage.greatest),
                      std::min(stretch.greatest_v, voltage.greatest)});
      with.push_back({at_s / unit_s, std::min(stretch.greatest_with_v, voltage.greatest)});
    }
  }
  script.data("band", band);
  std::string plot = fmt::format("plot $band using 1:2:3 with filledcurves fc rgb '{0}' title 'without "
                                 "electrode, least to greatest', $band "
                                 "using 1:3 with lines lw 1.2 lc rgb '{1}' notitle",
                                 detail::colour::band, detail::colour::main);
  if (report.with) {
    script.data("with", with);
    plot += fmt::format(
        ", $with using 1:2 with lines dt (6,3) lw 1.6 lc rgb '{}' title 'with the candidate, greatest'",
        detail::colour::accent);
  }
  script.edge_labels(plot_box, limit_label(voltage, limit_v));
  script.line("{}", plot);
  figure.script = script.take();
  return figure;
}

FigureScript log_duration_figure(const LoadLogReport& report, double limit_v) {
  FigureScript figure;
  figure.id = "loads-duration";
  describe(figure, "Chart of the MET voltage against the share of the time in which it is exceeded.",
           over_words(report, limit_v));
  const detail::Axis voltage = voltage_axis(report.without.worst.met_v, limit_v);
  detail::Script script = started(figure, voltage, limit_v);
  script.axis('x', {0.0, 100.0}, "share of the logged time in which it is exceeded [%]");
  const auto rows = [&voltage](const supply::MetRecord& record) {
    std::vector<std::vector<double>> points;
    for (std::size_t k = 0; k < record.duration_v.size(); ++k)
      points.push_back({0.5 * static_cast<double>(k), std::min(record.duration_v[k], voltage.greatest)});
    return points;
  };
  script.data("without", rows(report.without));
  std::string plot =
      fmt::format("plot $without using 1:2 with lines lw 2.4 lc rgb '{}' title 'without electrode'",
                  detail::colour::main);
  if (report.with) {
    script.data("with", rows(*report.with));
    plot += fmt::format(", $with using 1:2 with lines dt (6,3) lw 2 lc rgb '{}' title 'with the candidate'",
                        detail::colour::accent);
  }
  script.edge_labels(plot_box, limit_label(voltage, limit_v));
  script.line("{}", plot);
  figure.script = script.take();
  return figure;
}

FigureScript log_week_figure(const LoadLogReport& report, double limit_v) {
  static constexpr std::array<const char*, 7> days{"Monday", "Tuesday",  "Wednesday", "Thursday",
                                                   "Friday", "Saturday", "Sunday"};
  const supply::MetRecord& record = report.with ? *report.with : report.without;
  FigureScript figure;
  figure.id = "loads-week";
  figure.height_px = 360;
  std::size_t worst_day = 0;
  std::size_t worst_hour = 0;
  std::vector<std::vector<double>> cells;
  const auto& table = record.worst_by_weekday_hour_v;
  for (std::size_t day = 0; day < 7; ++day) {
    for (std::size_t hour = 0; hour < 24; ++hour) {
      const double v = table[day][hour];
      if (v > table[worst_day][worst_hour]) {
        worst_day = day;
        worst_hour = hour;
      }
      if (v >= 0.0)
        cells.push_back({static_cast<double>(hour), static_cast<double>(day), std::min(v, highest_shown_v)});
    }
  }
  describe(figure, "Table of shades: greatest MET voltage by hour of the day and day of the week.",
           fmt::format(
               "{}, the worst hour is {} from {}:00, with {} (limit {}; hours above it carry their number)",
               report.with ? "with the candidate" : "without electrode", days[worst_day], worst_hour,
               volts(table[worst_day][worst_hour]), given(limit_v)));
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, {104, 600, 30, 290});
  script.line("unset grid");
  script.line("unset key");
  script.line("set xrange [-0.5:23.5]");
  script.line("set yrange [6.5:-0.5]");
  script.line("set xtics 0,2,22");
  script.line("set xlabel 'hour of the day'");
  script.line("set ytics ('Monday' 0, 'Tuesday' 1, 'Wednesday' 2, 'Thursday' 3, 'Friday' 4, 'Saturday' 5, "
              "'Sunday' 6)");
  script.line("set cblabel 'greatest MET voltage [V]'");
  script.line("set cbrange [0:{:.7g}]", 2.0 * limit_v);
  script.line("set palette defined (0 '#ffffff', 0.5 '{}', 0.5001 '#f0b48c', 1 '{}')", detail::colour::band,
              detail::colour::limit);
  script.data("cells", cells);
  std::vector<std::vector<double>> over;
  std::copy_if(cells.begin(), cells.end(), std::back_inserter(over),
               [limit_v](const std::vector<double>& cell) { return cell[2] > limit_v; });
  std::string plot = "plot $cells using 1:2:3 with image pixels";
  if (!over.empty()) {
    script.data("over", over);
    plot += fmt::format(", $over using 1:2:(sprintf('%.0f',$3)) with labels font ',9' tc rgb '{}'",
                        detail::colour::ink);
  }
  script.line("{}", plot);
  figure.script = script.take();
  return figure;
}

std::optional<FigureScript> star_figure(const supply::OpenPenCircuit& circuit, double limit_v) {
  const supply::OpenPenState state = supply::open_pen_state(circuit);
  if (state.status != supply::OpenPenStatus::solved) return std::nullopt;
  FigureScript figure;
  figure.id = "star";
  figure.height_px = 560;
  const std::complex<double> star_v = state.star_point_v;
  const std::complex<double> neutral_v = state.met_v;
  describe(figure,
           "Picture of the three line-to-neutral voltages as arrows, before and after the PEN breaks.",
           fmt::format(
               "when the PEN breaks the neutral, and with it the MET, leaves true earth by {}: the phases, "
               "each {} before, become {}, {} and {}",
               volts(std::abs(neutral_v)), given(circuit.source_v), volts(state.line_to_neutral_v[0]),
               volts(state.line_to_neutral_v[1]), volts(state.line_to_neutral_v[2])));
  // True earth is the origin; phase 1 points up, as such pictures are mostly drawn.
  const auto up = [](std::complex<double> v) { return v * std::complex<double>{0.0, 1.0}; };
  std::array<std::complex<double>, 3> line_v{};
  double reach_v = 1.15 * std::max(limit_v, std::abs(neutral_v));
  for (std::size_t k = 0; k < 3; ++k) {
    const double turn =
        (circuit.is_sequence_reversed ? 1.0 : -1.0) * 2.0943951023931953 * static_cast<double>(k);
    line_v[k] = star_v + std::polar(circuit.source_v, turn);
    reach_v = std::max(reach_v, 1.25 * std::abs(line_v[k]));
  }
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, {30, 530, 30, 530});
  script.line("unset border");
  script.line("unset tics");
  script.line("unset grid");
  script.line("unset key");
  script.line("set size ratio -1");
  script.line("set xrange [{0:.7g}:{1:.7g}]", -reach_v, reach_v);
  script.line("set yrange [{0:.7g}:{1:.7g}]", -reach_v, reach_v);
  script.line("set object circle at 0,0 size {:.7g} fc rgb '{}' fs empty border lc rgb '{}' lw 2", limit_v,
              detail::colour::limit, detail::colour::limit);
  const auto arrow = [&](std::complex<double> from, std::complex<double> to, const char* style) {
    script.line("set arrow from {:.7g},{:.7g} to {:.7g},{:.7g} {}", up(from).real(), up(from).imag(),
                up(to).real(), up(to).imag(), style);
  };
  const std::string before =
      fmt::format("head size screen 0.012,20 dt (6,4) lw 1.4 lc rgb '{}'", detail::colour::other);
  const std::string after =
      fmt::format("head filled size screen 0.016,18 lw 2.4 lc rgb '{}'", detail::colour::main);
  for (std::size_t k = 0; k < 3; ++k) {
    arrow(star_v, line_v[k], before.c_str());
    arrow(neutral_v, line_v[k], after.c_str());
    const std::complex<double> tip = up(line_v[k]) * 1.1;
    script.line("set label {} at {:.7g},{:.7g} center noenhanced tc rgb '{}'",
                detail::quoted(fmt::format("L{}  {}", k + 1, volts(state.line_to_neutral_v[k]))), tip.real(),
                tip.imag(), detail::colour::main);
  }
  if (std::abs(neutral_v) > 0.0) {
    arrow({0.0, 0.0}, neutral_v,
          fmt::format("head filled size screen 0.016,18 lw 4 lc rgb '{}'", detail::colour::accent).c_str());
  }
  auto note = [&script, line = 0](const char* colour, const std::string& text) mutable {
    script.line("set label {} at screen 0.72, screen {:.4f} left noenhanced tc rgb '{}'",
                detail::quoted(text), 0.90 - 0.05 * line++, colour);
  };
  note(detail::colour::other, "dashed: PEN whole,");
  note(detail::colour::other, fmt::format("each phase {}", given(circuit.source_v)));
  note(detail::colour::main, "solid: PEN broken");
  note(detail::colour::accent, fmt::format("thick: MET to earth {}", volts(std::abs(neutral_v))));
  note(detail::colour::limit, fmt::format("circle: limit {}", given(limit_v)));
  script.data("earth", {{0.0, 0.0}});
  script.line("plot $earth using 1:2 with points pt 7 ps 0.8 lc rgb '{}' notitle", detail::colour::ink);
  figure.script = script.take();
  return figure;
}

FigureScript model_figure(const supply::OpenPenCircuit& circuit, double limit_v) {
  struct Curve {
    supply::LoadModel model;
    detail::LineStyle style;
  };
  const std::array<Curve, 3> curves{
      Curve{supply::LoadModel::constant_impedance, {"solid", 2.6, detail::colour::main}},
      Curve{supply::LoadModel::constant_current, {"(9,5)", 2.2, detail::colour::other}},
      Curve{supply::LoadModel::constant_power, {"(3,3)", 2.0, detail::colour::accent}}};
  FigureScript figure;
  figure.id = "models";
  constexpr int step_count = 60;
  std::vector<std::vector<std::vector<double>>> rows(3);
  std::vector<std::string> findings;
  double greatest_v = 0.0;
  for (std::size_t k = 0; k < 3; ++k) {
    std::optional<double> over_ratio;
    for (int step = 1; step <= step_count; ++step) {
      const double ratio = 1.5 * step / step_count;
      supply::OpenPenCircuit scaled = circuit;
      for (supply::DefiniteLoad& load : scaled.loads) {
        load.current_a *= ratio;
        load.model = curves[k].model;
        load.current_ceiling_a = std::numeric_limits<double>::infinity();
      }
      const supply::OpenPenState state = supply::open_pen_state(scaled);
      const bool is_solved = state.status == supply::OpenPenStatus::solved;
      const double met_v = is_solved ? std::abs(state.met_v) : std::numeric_limits<double>::infinity();
      if (!over_ratio && met_v > limit_v) over_ratio = ratio;
      if (!is_solved) break;
      rows[k].push_back({100.0 * ratio, met_v});
      greatest_v = std::max(greatest_v, met_v);
    }
    findings.push_back(over_ratio
                           ? fmt::format("{} from about {} of it", supply::load_model_name(curves[k].model),
                                         percent(*over_ratio))
                           : fmt::format("{} not at all", supply::load_model_name(curves[k].model)));
  }
  describe(figure, "Chart of the MET voltage against the size of all loads, under three load models.",
           fmt::format("as the loads grow together, {} is passed under {}", given(limit_v),
                       fmt::join(findings, ", ")));
  const detail::Axis voltage = voltage_axis(greatest_v, limit_v);
  detail::Script script = started(figure, voltage, limit_v);
  script.axis('x', {0.0, 150.0}, "size of all loads together [% of those stated]");
  std::vector<std::string> elements;
  for (std::size_t k = 0; k < 3; ++k) {
    if (rows[k].empty()) continue;
    const std::string name = fmt::format("model{}", k + 1);
    script.data(name, rows[k]);
    elements.push_back(fmt::format("${} using 1:2 with lines dt {} lw {} lc rgb '{}' title '{}'", name,
                                   curves[k].style.dash == std::string("solid") ? "1" : curves[k].style.dash,
                                   curves[k].style.width_count, curves[k].style.colour,
                                   supply::load_model_name(curves[k].model)));
  }
  if (elements.empty()) elements.push_back("NaN notitle");
  script.edge_labels(plot_box, limit_label(voltage, limit_v));
  script.line("plot {}", fmt::join(elements, ", "));
  figure.script = script.take();
  return figure;
}

}  // namespace ohmroot::plots
