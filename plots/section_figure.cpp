// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using detail::colour::accent;
using detail::colour::ink;

// At most three figures and no zeros added: stated layers are given, fitted ones computed.
std::string ohm_m(double value_ohm_m) {
  return report::as_given(value_ohm_m, Dimension::resistivity, 3);
}
std::string metres(double value_m) {
  return report::as_given(value_m, Dimension::length, 3);
}
std::string number(double value) {
  return report::as_given(value, Dimension::ratio, 3);
}

/// One layer as drawn. Stated layers have no best value unless their ends agree.
struct DrawnLayer {
  std::optional<double> resistivity_ohm_m;
  double least_ohm_m;
  double greatest_ohm_m;
  bool is_least_resolved = true;
  bool is_greatest_resolved = true;
};

/// Lower boundary of a layer.
struct DrawnInterface {
  double depth_m;
  double least_m;
  double greatest_m;
  bool is_least_resolved = true;
  bool is_greatest_resolved = true;
  [[nodiscard]] bool is_resolved() const { return is_least_resolved && is_greatest_resolved; }
};

struct Section {
  std::vector<DrawnLayer> layers;
  std::vector<DrawnInterface> interfaces;
  std::string origin;        // "fitted to the readings"
  std::string band_meaning;  // what the pale bands are
};

/// Thicknesses add up to depths; so do their ends, which is the wider of the possible readings. Where an end
/// is not resolved the best value may stand at the bound of the search, so none is drawn.
Section fitted_section(const sounding::SoilFit& fit) {
  Section section{{}, {}, "fitted to the readings", "where each layer may lie (5 to 95 %)"};
  for (const auto& r : fit.resistivity_ohm_m)
    section.layers.push_back(
        {r.is_least_resolved && r.is_greatest_resolved ? std::optional(r.value) : std::nullopt, r.least,
         r.greatest, r.is_least_resolved, r.is_greatest_resolved});
  DrawnInterface above{0, 0, 0};
  for (const auto& h : fit.thickness_m) {
    above = {above.depth_m + h.value, above.least_m + h.least, above.greatest_m + h.greatest,
             above.is_least_resolved && h.is_least_resolved,
             above.is_greatest_resolved && h.is_greatest_resolved};
    section.interfaces.push_back(above);
  }
  return section;
}

Section stated_section(const study::SoilFromLayers& stated) {
  Section section{{}, {}, "as stated", "the stated interval of each layer"};
  double depth_m = 0;
  for (std::size_t i = 0; i < stated.layers.size(); ++i) {
    const auto& layer = stated.layers[i];
    const bool is_exact = layer.least_resistivity_ohm_m == layer.greatest_resistivity_ohm_m;
    section.layers.push_back({is_exact ? std::optional(layer.least_resistivity_ohm_m) : std::nullopt,
                              layer.least_resistivity_ohm_m, layer.greatest_resistivity_ohm_m});
    if (i + 1 == stated.layers.size()) break;
    depth_m += layer.thickness_m;
    section.interfaces.push_back({depth_m, depth_m, depth_m});
  }
  return section;
}

std::optional<Section> section_of(const study::StudyResult& result) {
  if (result.soil.interpretation) return fitted_section(result.soil.interpretation->chosen());
  if (result.site.soil)
    if (const auto* stated = std::get_if<study::SoilFromLayers>(&*result.site.soil);
        stated && !stated->layers.empty())
      return stated_section(*stated);
  return std::nullopt;
}

/// A depth worth a line of its own.
struct DepthMark {
  double depth_m;
  std::string text;
};

std::vector<DepthMark> depth_marks(const study::StudyResult& result) {
  std::vector<DepthMark> marks;
  if (result.governing_candidate) {
    // By name: a measured electrode has a result, but no shape in the site.
    const std::string& name = result.candidates.at(*result.governing_candidate).name;
    const auto found =
        std::find_if(result.site.candidates.begin(), result.site.candidates.end(),
                     [&](const study::Candidate& candidate) { return candidate.name == name; });
    if (found != result.site.candidates.end()) {
      const double deepest_m = electrode::greatest_depth_m(found->shape);
      marks.push_back({deepest_m, "deepest metal of the candidate, " + metres(deepest_m)});
    }
  }
  double widest_half_m = 0;
  for (const auto& reading : result.soil.readings)
    widest_half_m = std::max(widest_half_m, reading.half_current_spacing_m);
  if (widest_half_m > 0) {
    // A sixth of the widest distance between the current stakes, half the Wenner spacing: common practice.
    const double reach_m = widest_half_m / 3;
    marks.push_back(
        {reach_m, "readings reach about " + format_quantity(reach_m, Dimension::length, 2) + " (AB/6)"});
  }
  return marks;
}

double greatest_shown_depth_m(const Section& section, const std::vector<DepthMark>& marks) {
  double depth_m = 0;
  for (const auto& interface : section.interfaces) {
    // A depth that is not resolved may stand at the bound of the search, far below anything of interest.
    depth_m = std::max(depth_m, 1.3 * (interface.is_resolved() ? interface.depth_m : interface.least_m));
    if (interface.is_resolved()) depth_m = std::max(depth_m, 1.1 * interface.greatest_m);
  }
  for (const DepthMark& mark : marks)
    depth_m = std::max(depth_m, 1.2 * mark.depth_m);
  return depth_m > 0 ? depth_m : 5.0;
}

detail::Axis resistivity_axis(const Section& section, const std::optional<study::SectionBand>& band) {
  std::vector<double> values;
  if (band) {
    values = band->least_ohm_m;
    values.insert(values.end(), band->greatest_ohm_m.begin(), band->greatest_ohm_m.end());
  }
  for (const DrawnLayer& layer : section.layers) {
    if (layer.is_least_resolved) values.push_back(layer.least_ohm_m);
    if (layer.is_greatest_resolved) values.push_back(layer.greatest_ohm_m);
    if (layer.resistivity_ohm_m) values.push_back(*layer.resistivity_ohm_m);
  }
  if (values.empty())
    for (const DrawnLayer& layer : section.layers)
      values.insert(values.end(), {layer.least_ohm_m, layer.greatest_ohm_m});
  detail::Axis axis = detail::log_axis(values, {1.6, 1.6});
  // At least one decade, so that a slight change does not look like a cliff.
  const double missing_ratio = std::sqrt(std::max(1.0, 10.0 * axis.least / axis.greatest));
  axis.least /= missing_ratio;
  axis.greatest *= missing_ratio;
  return axis;
}

std::string interval_text(const DrawnLayer& layer) {
  if (!layer.is_least_resolved && !layer.is_greatest_resolved) return "no end resolved";
  if (!layer.is_greatest_resolved) return "above " + ohm_m(layer.least_ohm_m) + ", no upper end";
  if (!layer.is_least_resolved) return "below " + ohm_m(layer.greatest_ohm_m) + ", no lower end";
  return fmt::format("{} to {}", number(layer.least_ohm_m), ohm_m(layer.greatest_ohm_m));
}

std::string interval_text(const DrawnInterface& interface) {
  if (!interface.is_least_resolved && !interface.is_greatest_resolved) return "no end resolved";
  if (!interface.is_greatest_resolved) return "below " + metres(interface.least_m) + ", no lower end";
  if (!interface.is_least_resolved) return "above " + metres(interface.greatest_m);
  return fmt::format("{} to {}", number(interface.least_m), metres(interface.greatest_m));
}

/// Pale band of each layer from where it may begin to where it may end; an end that is not resolved runs to
/// the edge of the drawing, and has no line there. The last layer is open below.
void add_bands(detail::Script& script, const Section& section, const detail::Axis& resistivity,
               double bottom_m) {
  std::vector<std::vector<double>> outline;
  const std::vector<double> gap{std::numeric_limits<double>::quiet_NaN()};
  for (std::size_t i = 0; i < section.layers.size(); ++i) {
    const DrawnLayer& layer = section.layers[i];
    const double left = layer.is_least_resolved ? layer.least_ohm_m : resistivity.least;
    const double right = layer.is_greatest_resolved ? layer.greatest_ohm_m : resistivity.greatest;
    const DrawnInterface above = i == 0 ? DrawnInterface{0, 0, 0} : section.interfaces[i - 1];
    const double top_m = above.is_least_resolved ? above.least_m : 0.0;
    const bool has_bottom = i < section.interfaces.size() && section.interfaces[i].is_greatest_resolved;
    const double end_m = has_bottom ? std::min(bottom_m, section.interfaces[i].greatest_m) : bottom_m;
    script.line(
        "set object rectangle from {:.7g},{:.7g} to {:.7g},{:.7g} behind fc rgb '{}' fs solid 1.0 noborder",
        left, top_m, right, end_m, detail::colour::band);
    if (layer.is_least_resolved) outline.insert(outline.end(), {{left, top_m}, {left, end_m}, gap});
    if (layer.is_greatest_resolved) outline.insert(outline.end(), {{right, top_m}, {right, end_m}, gap});
    if (i > 0) outline.insert(outline.end(), {{left, top_m}, {right, top_m}, gap});
    if (has_bottom) outline.insert(outline.end(), {{left, end_m}, {right, end_m}, gap});
  }
  script.data("outline", outline);
}

/// The step line of best values, if every layer has one, and the arrow of the last layer, which has no
/// bottom.
void add_steps(detail::Script& script, const Section& section, const detail::Axis& resistivity,
               double bottom_m) {
  std::vector<std::vector<double>> steps;
  double top_m = 0;
  for (std::size_t i = 0; i < section.layers.size(); ++i) {
    const double end_m = i < section.interfaces.size() ? section.interfaces[i].depth_m : 0.94 * bottom_m;
    const double value =
        section.layers[i].resistivity_ohm_m.value_or(std::numeric_limits<double>::quiet_NaN());
    steps.push_back({value, top_m});
    steps.push_back({value, end_m});
    top_m = end_m;
  }
  script.data("steps", steps);
  const DrawnLayer& last = section.layers.back();
  const double left = last.is_least_resolved ? last.least_ohm_m : resistivity.least;
  const double right = last.is_greatest_resolved ? last.greatest_ohm_m : resistivity.greatest;
  const double middle = last.resistivity_ohm_m.value_or(std::sqrt(left * right));
  script.line("set arrow from {0:.7g},{1:.7g} to {0:.7g},{2:.7g} head filled size screen 0.014,22 lw 2.6 lc "
              "rgb '{3}'",
              middle, 0.93 * bottom_m, 0.995 * bottom_m, detail::colour::main);
}

/// In place of the bands of single layers: the soils that the readings allow, at each depth.
void add_allowed(detail::Script& script, const study::SectionBand& band, double bottom_m) {
  std::vector<std::vector<double>> outline;
  std::size_t count = 0;
  while (count < band.depth_m.size() && band.depth_m[count] < bottom_m)
    ++count;
  if (count == 0) return;
  for (std::size_t i = 0; i < count; ++i)
    outline.push_back({band.least_ohm_m[i], band.depth_m[i]});
  outline.push_back({band.least_ohm_m[count - 1], bottom_m});
  outline.push_back({band.greatest_ohm_m[count - 1], bottom_m});
  for (std::size_t i = count; i-- > 0;)
    outline.push_back({band.greatest_ohm_m[i], band.depth_m[i]});
  script.data("allowed", outline);
}

void add_marks(detail::Script& script, const std::vector<DepthMark>& marks) {
  const detail::LineStyle styles[] = {{"(10,6)", 1.6, accent}, {"(2,4)", 1.8, accent}};
  for (std::size_t i = 0; i < marks.size(); ++i)
    script.level(marks[i].depth_m, styles[i % 2]);
}

std::vector<detail::EdgeLabel> edge_labels(const Section& section, const std::vector<DepthMark>& marks,
                                           const detail::Axis& depth) {
  const auto height = [&](double depth_m) { return 1 - depth.fraction(depth_m); };
  std::vector<detail::EdgeLabel> labels;
  double top_m = 0;
  for (std::size_t i = 0; i < section.layers.size(); ++i) {
    const bool is_last = i == section.interfaces.size();
    const double end_m = is_last ? depth.greatest : std::min(depth.greatest, section.interfaces[i].depth_m);
    const DrawnLayer& layer = section.layers[i];
    std::vector<std::string> lines{fmt::format("layer {}", i + 1) +
                                   (is_last ? ", downward without end" : "")};
    if (layer.resistivity_ohm_m) lines.push_back(ohm_m(*layer.resistivity_ohm_m));
    if (!layer.resistivity_ohm_m || layer.least_ohm_m != layer.greatest_ohm_m)
      lines.push_back(interval_text(layer));
    labels.push_back({height((top_m + end_m) / 2), detail::colour::main, lines});
    if (is_last) break;
    const DrawnInterface& interface = section.interfaces[i];
    std::vector<std::string> at{"boundary at " + metres(interface.depth_m)};
    if (!interface.is_resolved())
      at = {"boundary " + interval_text(interface)};
    else if (interface.least_m != interface.greatest_m)
      at.push_back(interval_text(interface));
    labels.push_back({height(interface.depth_m), ink, at});
    top_m = end_m;
  }
  for (const DepthMark& mark : marks)
    labels.push_back({height(mark.depth_m), accent, {mark.text}});
  for (auto& label : labels)
    for (auto& line : label.lines)
      line = report::with_signs(line);
  return labels;
}

std::string script_text(const Section& section, const std::vector<DepthMark>& marks,
                        const std::optional<study::SectionBand>& band, const detail::Canvas& canvas) {
  const detail::Box box{80, 460, 20, canvas.height_px - 64};
  const double bottom_m = greatest_shown_depth_m(section, marks);
  const detail::Axis resistivity = resistivity_axis(section, band);
  const detail::Axis depth{0, bottom_m};
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', resistivity, "resistivity [\u03a9\u00b7m]");
  script.axis('y', depth, "depth below the surface [m]");
  script.line("set yrange [{:.7g}:0]", bottom_m);
  if (band)
    add_allowed(script, *band, bottom_m);
  else
    add_bands(script, section, resistivity, bottom_m);
  add_steps(script, section, resistivity, bottom_m);
  add_marks(script, marks);
  script.edge_labels(box, edge_labels(section, marks, depth));
  script.line("unset key");
  if (band)
    script.line("plot $allowed using 1:2 with filledcurves closed fc rgb '{}', \\", detail::colour::band);
  else
    script.line("plot $outline using 1:2 with lines lw 0.9 lc rgb '{}', \\", detail::colour::main);
  script.line("  $steps using 1:2 with lines lw 2.6 lc rgb '{}'", detail::colour::main);
  return script.take();
}

std::string layer_words(const DrawnLayer& layer) {
  if (!layer.resistivity_ohm_m) return interval_text(layer);
  if (layer.least_ohm_m == layer.greatest_ohm_m) return ohm_m(*layer.resistivity_ohm_m);
  return fmt::format("{} ({})", ohm_m(*layer.resistivity_ohm_m), interval_text(layer));
}

std::string finding(const Section& section) {
  if (section.layers.size() == 1)
    return fmt::format("Uniform soil, {}: {}.", section.origin, layer_words(section.layers.front()));
  std::string text = fmt::format(
      "{} layers, {}: ", section.layers.size() == 2 ? "Two" : fmt::format("{}", section.layers.size()),
      section.origin);
  for (std::size_t i = 0; i < section.layers.size(); ++i) {
    text += layer_words(section.layers[i]);
    if (i == section.interfaces.size()) break;
    const DrawnInterface& interface = section.interfaces[i];
    if (!interface.is_resolved())
      text += fmt::format(" down to a boundary {}", interval_text(interface));
    else if (interface.least_m == interface.greatest_m)
      text += fmt::format(" down to {}", metres(interface.depth_m));
    else
      text += fmt::format(" down to {} ({})", metres(interface.depth_m), interval_text(interface));
    text += ", then ";
  }
  return text + ".";
}

}  // namespace

std::optional<FigureScript> section_figure(const study::StudyResult& result) {
  const std::optional<Section> section = section_of(result);
  if (!section) return std::nullopt;
  const std::vector<DepthMark> marks = depth_marks(result);
  const std::string band_meaning = result.section_band
                                       ? "the soils that the readings allow, 5 to 95 % at each depth"
                                       : section->band_meaning;
  FigureScript figure;
  figure.id = "section";
  figure.height_px = 420;
  figure.caption = report::with_signs(finding(*section) + " Pale: " + band_meaning +
                                      "; the last layer goes down without end.");
  figure.alt_text = "Section of resistivity, logarithmic, against depth downward. " + finding(*section);
  for (const DepthMark& mark : marks)
    figure.alt_text += " Marked: " + mark.text + ".";
  figure.script = script_text(*section, marks, result.section_band, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
