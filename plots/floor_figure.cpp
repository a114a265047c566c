// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/limits.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance, 3);
}

/// A resistance with its interval, on a line of its own.
struct Row {
  std::string name;
  Estimate resistance_ohm;
  bool is_floor;
};

/// Floors first, lowest in the figure; then the electrodes judged, the first on top.
std::vector<Row> rows_of(const study::StudyResult& result) {
  constexpr std::size_t most_candidates = 8;
  constexpr std::size_t longest_name = 26;
  std::vector<Row> rows{{"half-ellipsoid (closed form)", result.floor->floor_ohm, true}};
  if (result.floor->block_ohm)
    rows.push_back({"solid block (field solution)", *result.floor->block_ohm, true});
  const std::size_t count = std::min(result.candidates.size(), most_candidates);
  for (std::size_t i = count; i-- > 0;) {
    const study::CandidateResult& candidate = result.candidates[i];
    std::string name = candidate.name;
    if (name.size() > longest_name) name = fmt::format("electrode {} of the table", i + 1);
    rows.push_back({std::move(name), candidate.to_earth_ohm, false});
  }
  return rows;
}

detail::Axis axis_of(const std::vector<Row>& rows, const std::vector<detail::Limit>& limits) {
  std::vector<double> all;
  for (const Row& row : rows)
    for (const double value :
         {row.resistance_ohm.least, row.resistance_ohm.value, row.resistance_ohm.greatest})
      if (std::isfinite(value) && value > 0.0) all.push_back(value);
  for (const detail::Limit& limit : limits)
    all.push_back(limit.resistance_ohm);
  return detail::log_axis(all, {1.5, 1.5});
}

std::string script_text(const std::vector<Row>& rows, const std::vector<detail::Limit>& limits,
                        const detail::Canvas& canvas) {
  const int key_px = 25 * static_cast<int>(2 + limits.size());
  const detail::Box box{240, 720, 16 + key_px, canvas.height_px - 64};
  const detail::Axis abscissa = axis_of(rows, limits);
  const detail::Axis upright{0.4, static_cast<double>(rows.size()) + 0.6};
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', abscissa, "resistance to earth [\u03a9]");
  script.line("set yrange [{}:{}]", upright.least, upright.greatest);
  std::string names;
  for (std::size_t i = 0; i < rows.size(); ++i)
    names += fmt::format("{}{} {}", i == 0 ? "" : ", ", detail::quoted(rows[i].name), i + 1);
  script.line("set ytics scale 0 ({})", names);
  std::vector<std::vector<double>> of_floors;
  std::vector<std::vector<double>> of_electrodes;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Estimate& ohm = rows[i].resistance_ohm;
    const auto shown = [&](double value) { return std::clamp(value, abscissa.least, abscissa.greatest); };
    (rows[i].is_floor ? of_floors : of_electrodes)
        .push_back({ohm.value, static_cast<double>(i + 1), shown(ohm.least), shown(ohm.greatest)});
  }
  script.data("floors", of_floors);
  script.data("electrodes", of_electrodes);
  detail::limit_data(script, limits, upright);
  script.line("plot \\");
  detail::plot_limits(script, limits);
  script.line(
      "  $floors using 1:2:3:4 with xerrorbars pt 9 ps 1.5 lw 2.6 lc rgb '{}' title {} noenhanced, \\",
      detail::colour::main, detail::quoted("floors: no new electrode in this land and depth is lower"));
  script.line(
      "  $electrodes using 1:2:3:4 with xerrorbars pt 13 ps 1.5 lw 1.8 lc rgb '{}' title {} noenhanced",
      detail::colour::accent, detail::quoted("electrodes judged, with their intervals"));
  return script.take();
}

std::string finding(const study::StudyResult& result, const std::vector<detail::Limit>& limits) {
  const study::FloorResult& floor = *result.floor;
  const double highest_ohm =
      floor.block_ohm ? std::max(floor.block_ohm->least, floor.floor_ohm.least) : floor.floor_ohm.least;
  std::string words = fmt::format("The highest floor begins at {}", ohms(highest_ohm));
  if (limits.empty()) return words + "; no limit is known.";
  const double lenient_ohm = limits.back().resistance_ohm;
  words += fmt::format(", {} the {} limit of {}.", highest_ohm > lenient_ohm ? "above" : "below",
                       limits.back().name, ohms(lenient_ohm));
  return words;
}

}  // namespace

std::optional<FigureScript> floor_figure(const study::StudyResult& result) {
  if (!result.floor) return std::nullopt;
  const std::vector<detail::Limit> limits = detail::limits_of(result);
  const std::vector<Row> rows = rows_of(result);
  FigureScript figure;
  figure.id = "floor";
  figure.height_px = 150 + 25 * static_cast<int>(limits.size()) + 36 * static_cast<int>(rows.size());
  const std::string words = finding(result, limits);
  figure.caption = report::with_signs(
      words + " Floors in the most favourable season, electrodes in the worst; bars: intervals over the "
              "soils that the "
              "data allow. Floors concern new metal in that volume, not metal already in the ground.");
  figure.alt_text = report::with_signs(fmt::format(
      "Chart of resistance to earth, logarithmic: {} floors and {} electrodes, each with its interval, and "
      "the limits "
      "as upright lines. {}",
      std::count_if(rows.begin(), rows.end(), [](const Row& row) { return row.is_floor; }),
      std::count_if(rows.begin(), rows.end(), [](const Row& row) { return !row.is_floor; }), words));
  figure.script = script_text(rows, limits, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
