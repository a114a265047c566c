// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <plots/detail/script.hpp>
#include <plots/driving_figure.hpp>

namespace ohmroot::plots {
namespace {

std::vector<std::vector<double>> rows_of(const std::vector<acceptance::LengthForecast>& forecasts) {
  std::vector<std::vector<double>> rows;
  for (const acceptance::LengthForecast& at : forecasts)
    rows.push_back(
        {at.length_m, at.resistance_ohm.least, at.resistance_ohm.value, at.resistance_ohm.greatest});
  return rows;
}

}  // namespace

FigureScript driving_figure(const acceptance::DriveForecast& forecast,
                            const std::vector<sounding::DrivenRodReading>& readings, double target_ohm) {
  std::vector<std::vector<double>> fan;
  if (!forecast.so_far.empty()) fan = rows_of({forecast.so_far.back()});
  for (std::vector<double>& row : rows_of(forecast.ahead))
    fan.push_back(std::move(row));
  std::vector<double> ohms{target_ohm};
  double deepest_m = 0.0;
  for (const std::vector<double>& row : fan) {
    ohms.push_back(row[1]);
    ohms.push_back(row[3]);
    deepest_m = std::max(deepest_m, row[0]);
  }
  std::vector<std::vector<double>> read;
  for (const sounding::DrivenRodReading& reading : readings) {
    ohms.push_back(reading.resistance_ohm);
    deepest_m = std::max(deepest_m, reading.driven_length_m);
    read.push_back({reading.driven_length_m, reading.resistance_ohm,
                    reading.resistance_ohm / (1.0 + 1.645 * reading.relative_error_ratio),
                    reading.resistance_ohm * (1.0 + 1.645 * reading.relative_error_ratio)});
  }
  FigureScript figure;
  figure.id = "driving";
  const detail::Canvas canvas{figure.width_px, figure.height_px};
  const detail::Box box{84, canvas.width_px - 150, 24, canvas.height_px - 64};
  const detail::Axis depth{0.0, 1.05 * deepest_m};
  const detail::Axis resistance = detail::log_axis(ohms, {1.4, 1.4});
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', depth, "driven depth [m]");
  script.axis('y', resistance, report::with_signs("resistance [ohm]"));
  script.level(target_ohm, {"solid", 2.2, detail::colour::limit});
  std::vector<detail::EdgeLabel> labels{
      {resistance.fraction(target_ohm), detail::colour::limit, {"target today"}}};
  if (!fan.empty())
    labels.push_back({resistance.fraction(fan.back()[2]), detail::colour::main, {"forecast,", "5 to 95 %"}});
  script.edge_labels(box, labels);
  script.data("fan", fan);
  script.data("read", read);
  script.line("unset key");
  script.line("plot $fan using 1:2:4 with filledcurves fs solid noborder fc rgb '{}', $fan using 1:3 with "
              "lines lw 2.4 dt (9,5) lc "
              "rgb '{}', $read using 1:2:3:4 with yerrorbars pt 7 ps 0.9 lw 1.6 lc rgb '{}'",
              detail::colour::band, detail::colour::main, detail::colour::ink);
  figure.script = script.take();
  const std::string words =
      fmt::format("Driven to {:.3g} m; chance of {} within the sections left: {:.0f} %",
                  readings.empty() ? 0.0 : readings.back().driven_length_m,
                  format_quantity(target_ohm, Dimension::resistance), 100.0 * forecast.probability_ratio);
  figure.caption = report::with_signs(
      words + ". Points: readings with their 90 % error; band: 90 % of the soils that are left.");
  figure.alt_text = report::with_signs("Chart of resistance against driven depth. " + words + ".");
  return figure;
}

}  // namespace ohmroot::plots
