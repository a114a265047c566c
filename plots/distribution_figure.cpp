// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>
#include <ohmroot/study/street.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/limits.hpp>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using detail::Limit;
using detail::limits_of;

/// Share of the soils in which the electrode, with its conductor, has no more than this, at one season factor.
struct Season {
  std::string name;
  double factor_ratio;
};

std::vector<Season> seasons_of(const study::Site& site) {
  if (!site.season) return {{"as measured", 1.0}};
  std::vector<Season> seasons{{"best season", site.season->least_ratio}};
  if (site.season->greatest_ratio != site.season->least_ratio)
    seasons.push_back({"worst season", site.season->greatest_ratio});
  return seasons;
}

double to_earth_ohm(const study::Site& site, double electrode_ohm, double factor_ratio) {
  return study::with_relied_on_paths_ohm(electrode_ohm * factor_ratio + site.earthing_conductor_ohm,
                                         site.other_paths);
}

double share_below(const std::vector<double>& ascending, double limit) {
  const auto end = std::upper_bound(ascending.begin(), ascending.end(), limit);
  return static_cast<double>(end - ascending.begin()) / static_cast<double>(ascending.size());
}

std::vector<double> resistances(const study::StudyResult& result, const std::vector<double>& electrode_ohm,
                                const Season& season) {
  std::vector<double> values;
  for (const double value_ohm : electrode_ohm)
    values.push_back(to_earth_ohm(result.site, value_ohm, season.factor_ratio));
  return values;
}

std::string script_text(const study::StudyResult& result, const std::vector<double>& electrode_ohm,
                        const detail::Canvas& canvas) {
  const std::vector<Season> seasons = seasons_of(result.site);
  const std::vector<Limit> limits = limits_of(result);
  std::vector<double> all;
  for (const Season& season : seasons)
    for (const double value_ohm : resistances(result, electrode_ohm, season))
      all.push_back(value_ohm);
  for (const Limit& limit : limits)
    all.push_back(limit.resistance_ohm);
  const int key_px = 25 * static_cast<int>(seasons.size() + limits.size());
  const detail::Box box{84, 700, 16 + key_px, canvas.height_px - 64};
  const detail::Axis abscissa = detail::log_axis(all, {1.25, 1.25});
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', abscissa, "resistance to earth [\u03a9]");
  script.axis('y', {0, 100}, "soils with no more than that [%]");
  for (std::size_t s = 0; s < seasons.size(); ++s) {
    const std::vector<double> values = resistances(result, electrode_ohm, seasons[s]);
    std::vector<std::vector<double>> rows{{abscissa.least, 0}, {values.front(), 0}};
    for (std::size_t i = 0; i < values.size(); ++i)
      rows.push_back({values[i], 100 * static_cast<double>(i + 1) / static_cast<double>(values.size())});
    rows.push_back({abscissa.greatest, 100});
    script.data("season" + std::to_string(s), rows);
  }
  detail::limit_data(script, limits, {0, 100});
  script.line("plot \\");
  const detail::LineStyle curves[] = {{"(9,5)", 1.8, detail::colour::main},
                                      {"solid", 2.6, detail::colour::main}};
  for (std::size_t s = 0; s < seasons.size(); ++s) {
    const detail::LineStyle& style = seasons.size() == 1 ? curves[1] : curves[s];
    script.line("  $season{} using 1:2 with lines dt {} lw {} lc rgb '{}' title {} noenhanced, \\", s,
                style.dash, style.width_count, style.colour, detail::quoted("electrode, " + seasons[s].name));
  }
  detail::plot_limits(script, limits);
  script.line("  1/0 notitle");
  return script.take();
}

std::string finding(const study::StudyResult& result, const std::vector<double>& electrode_ohm) {
  std::string words;
  const Season worst = seasons_of(result.site).back();
  const std::vector<double> values = resistances(result, electrode_ohm, worst);
  for (const Limit& limit : limits_of(result)) {
    const double share = share_below(values, limit.resistance_ohm);
    words += fmt::format("{}In the {} {} of the soils that the readings allow keep the {} limit.",
                         words.empty() ? "" : " ", worst.name,
                         share == 0.0 ? "none" : format_number(100 * share, 3) + " %", limit.name);
  }
  return words.empty() ? "No limit is known." : words;
}

}  // namespace

std::optional<FigureScript> distribution_figure(const study::StudyResult& result) {
  if (!result.governing_candidate) return std::nullopt;
  const study::CandidateResult& candidate = result.candidates.at(*result.governing_candidate);
  if (!candidate.field || candidate.field->ascending_ohm.size() < 2) return std::nullopt;
  const std::vector<double>& electrode_ohm = candidate.field->ascending_ohm;
  FigureScript figure;
  figure.id = "distribution";
  figure.height_px = 400;
  figure.caption = report::with_signs(
      finding(result, electrode_ohm) +
      fmt::format(
          " Field solution of the governing candidate in {} soils; conductor and paths relied on included.",
          electrode_ohm.size()));
  figure.alt_text = fmt::format("Chart of the share of soils against resistance to earth, logarithmic, in {} "
                                "curves by season, with the limits as upright lines. {}",
                                seasons_of(result.site).size(), finding(result, electrode_ohm));
  figure.script = script_text(result, electrode_ohm, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
