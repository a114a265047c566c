// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <plots/detail/script.hpp>

namespace ohmroot::plots::detail {

std::string quoted(std::string_view text) {
  std::string result = "'";
  for (const char c : text) {
    const bool is_control = static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
    if (c == '\'')
      result += "\u2019";  // a doubled quote at the front ends the string in gnuplot 5.4
    else
      result += is_control ? ' ' : c;
  }
  return result + "'";
}

double Axis::decade_count() const {
  return std::log10(greatest / least);
}

double Axis::fraction(double value) const {
  const double share =
      is_log ? std::log(value / least) / std::log(greatest / least) : (value - least) / (greatest - least);
  return std::isnan(share) ? 0.0 : std::clamp(share, 0.0, 1.0);
}

Axis log_axis(const std::vector<double>& values, Room room) {
  Axis axis{std::numeric_limits<double>::infinity(), 0.0, true};
  for (const double value : values) {
    if (!std::isfinite(value) || value <= 0.0) continue;
    axis.least = std::min(axis.least, value);
    axis.greatest = std::max(axis.greatest, value);
  }
  if (axis.greatest <= 0.0) throw InternalError("a log axis needs a value above zero");
  if (room.below_ratio < 1.0 || room.above_ratio < 1.0)
    throw InternalError("a log axis that cuts its values off");
  axis.least /= room.below_ratio;
  axis.greatest *= room.above_ratio;
  return axis;
}

std::vector<double> one_two_five(const Axis& axis) {
  std::vector<double> ticks;
  for (double power = std::floor(std::log10(axis.least)); power <= std::log10(axis.greatest); ++power)
    for (const double step : {1.0, 2.0, 5.0})
      if (const double tick = step * std::pow(10.0, power);
          tick >= axis.least * (1 - 1e-9) && tick <= axis.greatest * (1 + 1e-9))
        ticks.push_back(tick);
  return ticks;
}

namespace {

/// Of a logarithmic axis: 1, 2 and 5, or where fewer than three of these fall into it, round numbers at equal steps.
std::vector<double> log_ticks(const Axis& axis) {
  constexpr std::size_t fewest = 3;
  constexpr double about_count = 5.0;
  std::vector<double> ticks = one_two_five(axis);
  if (ticks.size() >= fewest) return ticks;
  const double rough = (axis.greatest - axis.least) / about_count;
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  const double step = power * (rough < 1.5 * power   ? 1.0
                               : rough < 3.5 * power ? 2.0
                               : rough < 7.5 * power ? 5.0
                                                     : 10.0);
  ticks.clear();
  for (double k = std::ceil(axis.least / step); k * step <= axis.greatest; ++k)
    ticks.push_back(k * step);
  return ticks;
}

}  // namespace

void Script::data(std::string_view name, const std::vector<std::vector<double>>& rows) {
  line("${} <<END_OF_DATA", name);
  for (const auto& row : rows) {
    const bool is_finite = std::all_of(row.begin(), row.end(), [](double v) { return std::isfinite(v); });
    if (is_finite)
      line("{:.7g}", fmt::join(row, " "));
    else
      line("");
  }
  line("END_OF_DATA");
}

void Script::begin() {
  line("set encoding utf8");
  line("set border 3 lw 1 lc rgb '{}'", colour::ink);
  line("set tics nomirror out scale 0.6");
  line("set grid lt 1 lw 0.7 lc rgb '{}'", colour::guide);
  line("set grid back");
  line("set key noenhanced outside above left horizontal Left reverse samplen 2.5 spacing 1.2");
  line("set style fill solid 1.0 noborder");
}

void Script::place(const Canvas& canvas, const Box& box) {
  const auto share = [](int part_px, int whole_px) { return static_cast<double>(part_px) / whole_px; };
  line("set lmargin at screen {:.5f}", share(box.left_px, canvas.width_px));
  line("set rmargin at screen {:.5f}", share(box.right_px, canvas.width_px));
  line("set tmargin at screen {:.5f}", 1 - share(box.top_px, canvas.height_px));
  line("set bmargin at screen {:.5f}", 1 - share(box.bottom_px, canvas.height_px));
}

void Script::axis(char name, const Axis& axis, std::string_view title, TickText tick_text) {
  line("set {}range [{:.7g}:{:.7g}]", name, axis.least, axis.greatest);
  line("set {}label {} noenhanced{}", name, quoted(title), name == 'x' ? " offset 0,0.4" : " offset 0.8,0");
  if (!axis.is_log) return;
  line("set logscale {}", name);
  std::vector<std::string> ticks;
  for (const double tick : log_ticks(axis))
    ticks.push_back(tick_text == TickText::none ? fmt::format("'' {:g}", tick)
                                                : fmt::format("'{0:g}' {0:g}", tick));
  line("set {}tics ({})", name, fmt::join(ticks, ", "));
}

void Script::edge_labels(const Box& box, std::vector<EdgeLabel> labels) {
  constexpr double line_px = 17.0;
  constexpr double gap_px = 5.0;
  const auto height_px = [&](const EdgeLabel& label) {
    return line_px * static_cast<double>(label.lines.size()) + gap_px;
  };
  if (labels.empty()) return;
  const double first_fraction = labels.front().fraction;
  std::stable_sort(labels.begin(), labels.end(),
                   [](const EdgeLabel& a, const EdgeLabel& b) { return a.fraction > b.fraction; });
  const auto first = static_cast<std::size_t>(
      std::find_if(labels.begin(), labels.end(),
                   [&](const EdgeLabel& l) { return l.fraction == first_fraction; }) -
      labels.begin());

  std::vector<double> top_px;
  for (const EdgeLabel& label : labels)
    top_px.push_back((1 - label.fraction) * box.height_px() - height_px(label) / 2);
  const auto push_down = [&](std::size_t from, double free_from_px) {
    for (std::size_t i = from; i < labels.size(); ++i) {
      top_px[i] = std::max(top_px[i], free_from_px);
      free_from_px = top_px[i] + height_px(labels[i]);
    }
  };
  const auto push_up = [&](std::size_t past, double free_to_px) {
    for (std::size_t i = past; i-- > 0;) {
      top_px[i] = std::min(top_px[i], free_to_px - height_px(labels[i]));
      free_to_px = top_px[i];
    }
  };
  // Away from the first label on both sides, then back from the ends of the box.
  push_down(first + 1, top_px[first] + height_px(labels[first]));
  push_up(first, top_px[first]);
  push_down(0, -line_px);
  push_up(labels.size(), box.height_px() + line_px);

  for (std::size_t i = 0; i < labels.size(); ++i)
    for (std::size_t k = 0; k < labels[i].lines.size(); ++k) {
      const double middle_px = top_px[i] + gap_px / 2 + line_px * (static_cast<double>(k) + 0.5);
      line("set label {} at graph {:.5f}, graph {:.5f} left noenhanced tc rgb '{}'",
           quoted(labels[i].lines[k]), 1 + 8.0 / box.width_px(), 1 - middle_px / box.height_px(),
           labels[i].colour);
    }
}

void Script::level(double value, const LineStyle& style) {
  line("set arrow from graph 0, first {0:.7g} to graph 1, first {0:.7g} nohead front dt {1} lw {2} lc rgb "
       "'{3}'",
       value, style.dash, style.width_count, style.colour);
}

double Curve::at(double x) const {
  if (abscissa.empty()) return std::numeric_limits<double>::quiet_NaN();
  if (x <= abscissa.front()) return ordinate.front();
  if (x >= abscissa.back()) return ordinate.back();
  const auto right = std::upper_bound(abscissa.begin(), abscissa.end(), x) - abscissa.begin();
  const auto i = static_cast<std::size_t>(right);
  return std::lerp(ordinate[i - 1], ordinate[i], (x - abscissa[i - 1]) / (abscissa[i] - abscissa[i - 1]));
}

}  // namespace ohmroot::plots::detail
