// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/acceptance_figures.hpp>
#include <plots/detail/script.hpp>

namespace ohmroot::plots {
namespace {

using acceptance::RegisterEntry;

const detail::Box plot_box{84, 580, 70, 416};

/// "2026-10-14" as 2026.78: months count as a twelfth, which is near enough for a picture.
double year_of(const RegisterEntry& entry) {
  const acceptance::Day day = acceptance::day_of(entry.date).value();  // retest_trend() has refused all else
  return day.year + (day.month - 1 + (day.day - 1) / 31.0) / 12.0;
}

detail::Axis year_axis(const std::vector<RegisterEntry>& ordered, const acceptance::RetestTrend& trend) {
  const double last = trend.line.empty() ? year_of(ordered.back()) : trend.line.back().calendar_years;
  return {std::floor(year_of(ordered.front())), std::floor(last) + 1.0};
}

/// Tests, limit and the middle of the trend; its band may leave the picture.
detail::Axis resistance_axis(const std::vector<RegisterEntry>& entries, const acceptance::RetestTrend& trend,
                             double strictest_ohm) {
  double highest_ohm = std::isfinite(strictest_ohm) ? strictest_ohm : 0.0;
  for (const RegisterEntry& entry : entries)
    highest_ohm = std::max({highest_ohm, entry.worst_season_ohm.greatest, entry.strictest_ohm.value_or(0.0)});
  for (const acceptance::TrendPoint& point : trend.line)
    highest_ohm = std::max(highest_ohm, point.worst_season_ohm.value);
  return {0.0, 1.15 * highest_ohm};
}

/// The limit by which each test was judged, as steps: it holds until the next test, and from the last one on today's does.
std::vector<std::vector<double>> limits_then(const std::vector<RegisterEntry>& ordered, double strictest_ohm,
                                             double end_year) {
  std::vector<std::vector<double>> rows;
  const auto step_to = [&](double year, double limit_ohm) {
    if (!rows.empty()) rows.push_back({year, rows.back()[1]});
    rows.push_back({year, limit_ohm});
  };
  for (const RegisterEntry& entry : ordered)
    if (entry.strictest_ohm) step_to(year_of(entry), *entry.strictest_ohm);
  if (!std::isfinite(strictest_ohm)) return rows;
  step_to(year_of(ordered.back()), strictest_ohm);
  rows.push_back({end_year, strictest_ohm});
  return rows;
}

}  // namespace

std::optional<FigureScript> retest_figure(const std::vector<RegisterEntry>& entries, double strictest_ohm) {
  if (entries.size() < 2) return std::nullopt;
  const acceptance::RetestTrend trend = acceptance::retest_trend(entries, strictest_ohm);
  std::vector<RegisterEntry> ordered = entries;
  std::stable_sort(ordered.begin(), ordered.end(),
                   [](const RegisterEntry& a, const RegisterEntry& b) { return a.date < b.date; });
  FigureScript figure;
  figure.id = "retests";
  figure.caption = report::with_signs(trend.sentence);
  figure.alt_text =
      fmt::format("Chart of {} tests of '{}' from {} to {}, each with its interval. {}", entries.size(),
                  ordered.front().electrode, ordered.front().date, ordered.back().date, figure.caption);
  const detail::Axis resistance = resistance_axis(entries, trend, strictest_ohm);
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, plot_box);
  const detail::Axis years = year_axis(ordered, trend);
  script.axis('x', years, "year");
  script.axis('y', resistance, "to earth, worst season [\u03a9]");
  script.line("set xtics 1 format '%.0f'");
  std::vector<std::vector<double>> rows;
  for (const RegisterEntry& entry : ordered)
    rows.push_back({year_of(entry), entry.worst_season_ohm.value, entry.worst_season_ohm.least,
                    entry.worst_season_ohm.greatest});
  script.data("tests", rows);
  std::vector<std::vector<double>> line;
  for (const acceptance::TrendPoint& point : trend.line)
    line.push_back({point.calendar_years, point.worst_season_ohm.value, point.worst_season_ohm.least,
                    point.worst_season_ohm.greatest});
  if (!line.empty()) script.data("trend", line);
  std::string limit_curve;
  const bool has_moved = std::any_of(ordered.begin(), ordered.end(), [&](const RegisterEntry& entry) {
    return entry.strictest_ohm && !acceptance::is_limit_alike(entry, strictest_ohm);
  });
  if (has_moved) {
    script.data("limits", limits_then(ordered, strictest_ohm, years.greatest));
    limit_curve =
        fmt::format("$limits using 1:2 with lines lw 2.2 lc rgb '{}' notitle, ", detail::colour::limit);
  }
  if (std::isfinite(strictest_ohm)) {
    if (!has_moved) script.level(strictest_ohm, {"solid", 2.2, detail::colour::limit});
    script.edge_labels(plot_box,
                       {{resistance.fraction(strictest_ohm),
                         detail::colour::limit,
                         {has_moved ? "limit today" : "strictest limit",
                          report::with_signs(format_quantity(strictest_ohm, Dimension::resistance, 3))}}});
  }
  const std::string trend_curves =
      line.empty()
          ? fmt::format("$tests using 1:2 with lines dt (4,4) lw 1.2 lc rgb '{}' notitle, ",
                        detail::colour::main)
          : fmt::format(
                "$trend using 1:3:4 with filledcurves fs solid noborder fc rgb '{1}' "
                "title 'trend, 90 %', $trend using 1:2 with lines dt (4,4) lw 1.4 lc rgb '{0}' notitle, ",
                detail::colour::main, detail::colour::band);
  script.line(
      "plot {0}{2}$tests using 1:2:3:4 with yerrorbars pt 7 ps 0.9 lw 1.6 lc rgb '{1}' title 'test, 90 %'",
      trend_curves, detail::colour::main, limit_curve);
  figure.script = script.take();
  return figure;
}

}  // namespace ohmroot::plots
