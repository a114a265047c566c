// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>

namespace ohmroot::plots {
namespace {

using detail::colour::accent;
using detail::colour::limit;
using detail::colour::main;
using study::ResistanceCurve;
using supply::Requirement;
using supply::RequirementOutcome;

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance, 3);
}

std::string abscissa_text(const ResistanceCurve& curve, double value) {
  return report::as_given(value, curve.is_count ? Dimension::ratio : Dimension::length);
}

/// A required value as a line across the figure, or as words only where there is no value to draw.
struct RequiredLine {
  std::optional<double> resistance_ohm;
  double fraction_if_undrawn;
  std::string which;    // "strictest", "most lenient", "required"
  std::string meaning;  // "1.39 ohm or less"
  std::string model;
};

RequiredLine required_line(const Requirement& requirement, std::string which) {
  switch (requirement.outcome) {
  case RequirementOutcome::limited:
    return {requirement.resistance_ohm, 0, which, ohms(requirement.resistance_ohm) + " or less",
            requirement.name};
  case RequirementOutcome::none_needed:
    return {std::nullopt, 1, which, "no electrode needed", requirement.name};
  case RequirementOutcome::none_suffices:
    return {std::nullopt, 0, which, "no resistance is low enough", requirement.name};
  case RequirementOutcome::not_covered:
    break;
  }
  return {std::nullopt, 0, which, "not decided", requirement.name};
}

std::vector<RequiredLine> required_lines(const study::StudyResult& result) {
  const auto& span = result.requirement_span;
  std::vector<RequiredLine> lines;
  if (span.most_lenient && span.most_lenient != span.strictest)
    lines.push_back(required_line(*span.most_lenient, "most lenient"));
  if (span.strictest)
    lines.push_back(required_line(*span.strictest, lines.empty() ? "required" : "strictest"));
  return lines;
}

struct Point {
  double least_ohm;
  double value_ohm;
  double greatest_ohm;
};

Point at(const ResistanceCurve& curve, double abscissa) {
  const auto value = [&](const std::vector<double>& ordinate) {
    return detail::Curve{curve.abscissa_value, ordinate}.at(abscissa);
  };
  return {value(curve.least_ohm), value(curve.value_ohm), value(curve.greatest_ohm)};
}

/// The candidate's own numbers, so that the picture says what the tables say; between the points of the
/// curve only if the study names no candidate.
Point candidate_point(const study::StudyResult& result) {
  if (result.governing_candidate) {
    const Estimate& own = result.candidates.at(*result.governing_candidate).to_earth_ohm;
    return {own.least, own.value, own.greatest};
  }
  return at(*result.resistance_curve, result.resistance_curve->candidate_value);
}

std::string interval_text(const Point& point) {
  if (!std::isfinite(point.greatest_ohm)) return "above " + ohms(point.least_ohm) + ", no upper end";
  return fmt::format("{} to {}", format_number(point.least_ohm, 3), ohms(point.greatest_ohm));
}

detail::Axis resistance_axis(const ResistanceCurve& curve, const Point& candidate,
                             const std::vector<RequiredLine>& lines) {
  std::vector<double> values{candidate.least_ohm, candidate.value_ohm, candidate.greatest_ohm};
  for (const auto* ordinate : {&curve.least_ohm, &curve.value_ohm, &curve.greatest_ohm})
    values.insert(values.end(), ordinate->begin(), ordinate->end());
  for (const RequiredLine& line : lines)
    if (line.resistance_ohm) values.push_back(*line.resistance_ohm);
  return detail::log_axis(values, {1.5, 1.3});
}

detail::Axis abscissa_axis(const ResistanceCurve& curve) {
  const double least = std::min(curve.abscissa_value.front(), curve.candidate_value);
  const double greatest = std::max(curve.abscissa_value.back(), curve.candidate_value);
  const double room = 0.04 * (greatest - least);
  return {std::max(0.0, least - room), greatest + std::max(room, 0.1)};
}

void add_required(detail::Script& script, const std::vector<RequiredLine>& lines) {
  const detail::LineStyle styles[] = {{"(14,5)", 2.0, limit}, {"(4,4)", 2.2, limit}};
  for (std::size_t i = 0; i < lines.size(); ++i)
    if (lines[i].resistance_ohm)
      script.level(*lines[i].resistance_ohm,
                   lines.size() == 1 ? detail::LineStyle{"solid", 2.0, limit} : styles[i % 2]);
}

std::vector<detail::EdgeLabel> edge_labels(const ResistanceCurve& curve,
                                           const std::vector<RequiredLine>& lines,
                                           const detail::Axis& resistance) {
  std::vector<detail::EdgeLabel> labels;
  const Point end = at(curve, curve.abscissa_value.back());
  const bool is_wide = end.greatest_ohm > 1.3 * end.least_ohm;
  labels.push_back({resistance.fraction(end.value_ohm), main, {"electrode to earth"}});
  if (is_wide) {
    labels.front().lines.push_back("(pale: its interval)");
  }
  for (const RequiredLine& line : lines) {
    const double fraction =
        line.resistance_ohm ? resistance.fraction(*line.resistance_ohm) : line.fraction_if_undrawn;
    labels.push_back(line.resistance_ohm
                         ? detail::EdgeLabel{fraction, limit, {line.which + ": " + line.meaning, line.model}}
                         : detail::EdgeLabel{fraction, limit, {line.which + ":", line.meaning, line.model}});
  }
  for (auto& label : labels)
    for (auto& text : label.lines)
      text = report::with_signs(text);
  return labels;
}

std::string script_text(const study::StudyResult& result, const std::vector<RequiredLine>& lines,
                        const detail::Canvas& canvas) {
  const ResistanceCurve& curve = *result.resistance_curve;
  const Point candidate = candidate_point(result);
  const detail::Box box{84, 514, 44, canvas.height_px - 64};
  const detail::Axis resistance = resistance_axis(curve, candidate, lines);
  const auto shown_end = [&](double greatest_ohm) {  // no upper end: up to the edge
    return std::isfinite(greatest_ohm) ? greatest_ohm : resistance.greatest;
  };
  detail::Script script;
  script.begin();
  script.place(canvas, box);
  script.axis('x', abscissa_axis(curve), curve.abscissa + (curve.is_count ? " [count]" : " [m]"));
  if (curve.is_count && curve.abscissa_value.back() <= 20) script.line("set xtics 1");
  script.axis('y', resistance, "resistance to earth [\u03a9]");
  std::vector<std::vector<double>> rows;
  for (std::size_t i = 0; i < curve.abscissa_value.size(); ++i)
    rows.push_back({curve.abscissa_value[i], curve.value_ohm.at(i), curve.least_ohm.at(i),
                    shown_end(curve.greatest_ohm.at(i))});
  script.data("curve", rows);
  script.data("candidate", {{curve.candidate_value, candidate.value_ohm, candidate.least_ohm,
                             shown_end(candidate.greatest_ohm)}});
  add_required(script, lines);
  script.edge_labels(box, edge_labels(curve, lines, resistance));
  const std::string title =
      fmt::format("candidate ({}: {}): {}", curve.abscissa, abscissa_text(curve, curve.candidate_value),
                  interval_text(candidate));
  script.line("plot $curve using 1:3:4 with filledcurves fc rgb '{}' notitle, \\", detail::colour::band);
  for (const int column : {3, 4})
    script.line("  $curve using 1:{} with lines lw 0.9 lc rgb '{}' notitle, \\", column, main);
  script.line("  $curve using 1:2 with {} lw 2.6 lc rgb '{}' notitle, \\",
              curve.is_count ? "linespoints pt 7 ps 0.5" : "lines", main);
  script.line(
      "  $candidate using 1:2:3:4 with yerrorbars pt 13 ps 1.7 lw 2.2 lc rgb '{}' title {} noenhanced",
      accent, detail::quoted(report::with_signs(title)));
  return script.take();
}

std::string requirement_words(const std::vector<RequiredLine>& lines) {
  std::string words = lines.size() == 1 ? "Requirement" : "Requirements";
  for (std::size_t i = 0; i < lines.size(); ++i)
    words += fmt::format("{}{}{} ({})", i == 0 ? ": " : "; ", lines.size() == 1 ? "" : lines[i].which + " ",
                         lines[i].meaning, lines[i].model);
  return words + ".";
}

/// Where the candidate's interval stands against the lines drawn. The verdict is the study's, not the
/// picture's.
std::string comparison(const study::StudyResult& result, const std::vector<RequiredLine>& lines) {
  const Point candidate = candidate_point(result);
  const auto& strictest_ohm = lines.back().resistance_ohm;
  const auto& lenient_ohm = lines.front().resistance_ohm;
  const std::string uncovered =
      result.requirement_span.has_uncovered ? "; some load models are not decided" : "";
  if (strictest_ohm && candidate.greatest_ohm < *strictest_ohm)
    return "all of it below what is required" + uncovered;
  if (!lenient_ohm || candidate.least_ohm <= *lenient_ohm)
    return "which does not settle the requirement either way";
  const auto& least_ohm = result.resistance_curve->least_ohm;
  const bool is_all_above = *std::min_element(least_ohm.begin(), least_ohm.end()) > *lenient_ohm;
  return (is_all_above ? "above what is required, like everything on this curve"
                       : "all of it above what is required") +
         uncovered;
}

std::string finding(const study::StudyResult& result, const std::vector<RequiredLine>& lines) {
  const ResistanceCurve& curve = *result.resistance_curve;
  return fmt::format("The candidate ({}: {}) has {} to earth{}{}.", curve.abscissa,
                     abscissa_text(curve, curve.candidate_value), interval_text(candidate_point(result)),
                     lines.empty() ? "" : ", ", lines.empty() ? "" : comparison(result, lines));
}

}  // namespace

std::optional<FigureScript> resistance_figure(const study::StudyResult& result) {
  if (!result.resistance_curve || result.resistance_curve->abscissa_value.empty()) return std::nullopt;
  const ResistanceCurve& curve = *result.resistance_curve;
  const std::vector<RequiredLine> lines = required_lines(result);
  FigureScript figure;
  figure.id = "resistance";
  figure.height_px = 440;
  figure.caption =
      report::with_signs(finding(result, lines) + (lines.empty() ? "" : " " + requirement_words(lines)));
  const auto range = std::minmax_element(curve.value_ohm.begin(), curve.value_ohm.end());
  figure.alt_text = fmt::format(
      "Chart of resistance to earth, logarithmic, against {}. {} Range: best values from {} to {} for "
      "{} from {} to {}. {}",
      curve.abscissa, finding(result, lines), ohms(*range.first), ohms(*range.second), curve.abscissa,
      abscissa_text(curve, curve.abscissa_value.front()), abscissa_text(curve, curve.abscissa_value.back()),
      lines.empty() ? "No requirement is known." : requirement_words(lines));
  figure.script = script_text(result, lines, {figure.width_px, figure.height_px});
  return figure;
}

}  // namespace ohmroot::plots
