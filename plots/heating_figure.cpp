// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using study::HeatedPart;
using study::HeatingResult;

constexpr double boiling_degc = 100.0;
constexpr const char* time_ticks =
    "'10 min' 600, '1 h' 3600, '1 day' 86400, '1 week' 604800, '1 year' 31557600, '10 years' 315576000";

/// The warmest and the coolest piece of metal; one line where they are the same.
std::vector<const HeatedPart*> drawn_parts(const HeatingResult& heating) {
  std::vector<const HeatedPart*> parts{&heating.parts.front()};
  if (heating.parts.size() > 1) parts.push_back(&heating.parts.back());
  return parts;
}

std::string script_text(const study::StudyResult& result, const detail::Canvas& canvas) {
  const HeatingResult& heating = *result.heating;
  const study::SoilWarmth& warmth = result.site.warmth;
  const detail::Box box{84, 560, 20, canvas.height_px - 64};
  const double steady_degc = warmth.ground_degc + heating.steady_rise_k;
  const bool is_boiling_shown = steady_degc > 60.0;
  const double least_degc = std::floor(std::min(0.0, warmth.ground_degc) / 10.0) * 10.0;
  const double greatest_degc =
      is_boiling_shown ? 110.0 : std::ceil(1.05 * std::max(warmth.drying_degc, steady_degc) / 10.0) * 10.0;
  const detail::Axis ordinate{least_degc, greatest_degc};
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', {heating.time_s.front(), heating.time_s.back(), true}, "time with the PEN open");
  script.line("set xtics ({})", time_ticks);  // in place of seconds, whose decades nobody reads as time
  script.axis('y', ordinate, "temperature at the metal [degC]");
  const detail::LineStyle styles[] = {{"solid", 2.6, detail::colour::main},
                                      {"(10,4)", 2.0, detail::colour::accent}};
  std::vector<detail::EdgeLabel> labels;
  const auto level = [&](double degc, const detail::LineStyle& style, const std::string& name) {
    if (degc > greatest_degc) return;
    script.level(degc, style);
    labels.push_back(
        {ordinate.fraction(degc), style.colour, {name, format_given(degc, Dimension::temperature)}});
  };
  level(warmth.drying_degc, {"(5,3)", 1.4, detail::colour::limit}, "soil dries slowly:");
  if (is_boiling_shown) level(boiling_degc, {"(2,3)", 1.8, detail::colour::limit}, "water boils:");
  level(std::round(steady_degc), {"(9,3,2,3)", 1.2, detail::colour::other}, "bound for ever:");
  const std::vector<const HeatedPart*> parts = drawn_parts(heating);
  for (std::size_t k = 0; k < parts.size(); ++k) {
    std::vector<std::vector<double>> rows;
    for (std::size_t i = 0; i < heating.time_s.size(); ++i) {
      const double degc = warmth.ground_degc + parts[k]->rise_k[i];
      if (degc > boiling_degc) break;  // dry soil is another soil
      rows.push_back({heating.time_s[i], degc});
    }
    if (rows.empty()) rows.push_back({heating.time_s.front(), boiling_degc});
    script.data("part" + std::to_string(k + 1), rows);
    // a name over two lines: what, and where
    const std::size_t comma = parts[k]->name.find(", ");
    std::vector<std::string> lines{parts[k]->name.substr(0, comma)};
    if (comma != std::string::npos) lines.push_back(parts[k]->name.substr(comma + 2));
    labels.push_back({ordinate.fraction(rows.back()[1]), styles[k].colour, lines});
  }
  script.edge_labels(box, labels);
  for (std::size_t k = 0; k < parts.size(); ++k)
    script.line("{}$part{} using 1:2 with lines dt {} lw {} lc rgb '{}' notitle{}", k == 0 ? "plot " : "  ",
                k + 1, styles[k].dash, styles[k].width_count, styles[k].colour,
                k + 1 < parts.size() ? ", \\" : "");
  return script.take();
}

}  // namespace

std::optional<FigureScript> heating_figure(const study::StudyResult& result) {
  if (!result.heating || result.heating->parts.empty()) return std::nullopt;
  FigureScript figure;
  figure.id = "heating";
  figure.height_px = 380;
  figure.caption = report::with_signs(result.heating->finding +
                                      " Warmest and coolest piece of metal by radial conduction, held below "
                                      "the bound from the voltage alone.");
  figure.alt_text =
      "Chart of the temperature at the metal of the electrode against time, on a log axis from 100 s to 32 "
      "years. " +
      result.heating->finding;
  figure.script = script_text(result, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
