// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/reading_curve.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/soundness.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace ohmroot::sounding {
namespace {

using detail::allowed_sigma;

std::string metres(double value_m) {
  return format_quantity(value_m, Dimension::length);
}

// --- Traverses ---------------------------------------------------------------------------------------------

struct Sample {
  double ln_spacing;   // unit: ln of m, of the Wenner array that looks as deep
  double ln_apparent;  // unit: ln of ohm m
  double ln_error;
};
using Line = std::vector<Sample>;

std::map<std::string, Line> lines_of(const std::vector<FourPoleReading>& readings) {
  std::map<std::string, Line> lines;
  for (const FourPoleReading& reading : readings)
    lines[reading.traverse].push_back({std::log(equivalent_wenner_spacing_m(reading)),
                                       std::log(apparent_resistivity_ohm_m(reading)),
                                       reading.relative_error_ratio});
  for (auto& [name, line] : lines)
    std::stable_sort(line.begin(), line.end(),
                     [](const Sample& a, const Sample& b) { return a.ln_spacing < b.ln_spacing; });
  return lines;
}

/// The line at a spacing within it, straight between neighbours.
std::optional<Sample> at_spacing(const Line& line, double ln_spacing) {
  constexpr double rounding = 1e-9;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (std::abs(line[i].ln_spacing - ln_spacing) < rounding) return line[i];
    if (i == 0 || line[i].ln_spacing < ln_spacing || line[i - 1].ln_spacing > ln_spacing) continue;
    const double part = (ln_spacing - line[i - 1].ln_spacing) / (line[i].ln_spacing - line[i - 1].ln_spacing);
    return Sample{ln_spacing, (1.0 - part) * line[i - 1].ln_apparent + part * line[i].ln_apparent,
                  std::hypot((1.0 - part) * line[i - 1].ln_error, part * line[i].ln_error)};
  }
  return std::nullopt;
}

struct Comparison {
  int count = 0;
  double mean = 0.0;
  double rms = 0.0;
  double scatter = 0.0;  ///< about the mean
  double error = 0.0;    ///< root mean square of the stated ones
};

Comparison compared(const Line& one, const Line& other) {
  Comparison result;
  double square_sum = 0.0;
  double error_sum = 0.0;
  for (const Sample& sample : other) {
    const auto beside = at_spacing(one, sample.ln_spacing);
    if (!beside) continue;
    const double off = sample.ln_apparent - beside->ln_apparent;
    ++result.count;
    result.mean += off;
    square_sum += off * off;
    error_sum += sample.ln_error * sample.ln_error + beside->ln_error * beside->ln_error;
  }
  if (result.count == 0) return result;
  result.mean /= result.count;
  result.rms = std::sqrt(square_sum / result.count);
  result.scatter = std::sqrt(std::max(0.0, square_sum / result.count - result.mean * result.mean));
  result.error = std::sqrt(error_sum / result.count);
  return result;
}

std::string line_words(const std::string& name) {
  return name.empty() ? "the line without a name" : fmt::format("line \"{}\"", name);
}

std::optional<std::string> comparison_sentence(const std::string& one, const std::string& other,
                                               const Comparison& comparison) {
  constexpr int fewest = 3;
  constexpr double room = 0.1;            // of ln factor: lines differ by a little besides
  const double ordinary = std::log(1.3);  // practice, from memory
  if (comparison.count < fewest) return std::nullopt;
  const bool is_other_above = comparison.mean > 0.0;
  const std::string& higher = is_other_above ? other : one;
  const std::string& lower = is_other_above ? one : other;
  for (const double factor : {2.0, 3.0, 10.0}) {
    const bool is_factor = std::abs(std::abs(comparison.mean) - std::log(factor)) < room &&
                           comparison.scatter < std::max(room, 1.5 * comparison.error);
    if (is_factor)
      return fmt::format(
          "{} lies {} times above {} at every spacing: a constant factor is seldom the ground; "
          "compare spacing (a, AB or AB/2), order of the leads and range of the tester of both",
          line_words(higher), format_number(std::exp(std::abs(comparison.mean)), 2), line_words(lower));
  }
  if (comparison.rms < ordinary || comparison.rms < allowed_sigma * comparison.error) return std::nullopt;
  return fmt::format(
      "{} and {} differ by {:.0f} % where their spacings overlap ({} lies higher): the ground "
      "changes sideways or metal runs along one of them; measure a third line between them, at "
      "another angle",
      line_words(one), line_words(other), 100.0 * std::expm1(comparison.rms), line_words(higher));
}

// --- Plan --------------------------------------------------------------------------------------------------

/// Ascending, each once.
std::vector<double> spacings_m(const std::vector<FourPoleReading>& readings) {
  std::vector<double> all_m;
  for (const FourPoleReading& reading : readings)
    all_m.push_back(equivalent_wenner_spacing_m(reading));
  std::sort(all_m.begin(), all_m.end());
  constexpr double alike = 1.01;
  all_m.erase(std::unique(all_m.begin(), all_m.end(), [](double a, double b) { return b < alike * a; }),
              all_m.end());
  return all_m;
}

void add_reach(double widest_m, const PlannedElectrode& electrode, std::vector<SoundingRemark>& remarks) {
  constexpr double median_depth_ratio = 0.519;
  const double needed_m = electrode.depth_m / median_depth_ratio;
  if (widest_m < needed_m)
    remarks.push_back(
        {fmt::format("the widest spacing, {}, looks about {} deep and the electrode goes to {}: add "
                     "spacings up to {}",
                     metres(widest_m), metres(median_depth_ratio * widest_m), metres(electrode.depth_m),
                     metres(needed_m))});
  if (widest_m < electrode.extent_m)
    remarks.push_back(
        {fmt::format("the widest spacing, {}, is less than the {} that the electrode reaches from "
                     "end to end: add spacings up to that",
                     metres(widest_m), metres(electrode.extent_m))});
}

void add_steps(const std::vector<double>& spacing_m, std::vector<SoundingRemark>& remarks) {
  constexpr double greatest_step = 2.5;
  constexpr std::size_t fewest = 5;
  if (spacing_m.size() < fewest)
    remarks.push_back({fmt::format("{} spacing{}: layers need at least {}; add some between and beyond",
                                   spacing_m.size(), spacing_m.size() == 1 ? "" : "s", fewest)});
  for (std::size_t i = 1; i < spacing_m.size(); ++i) {
    if (spacing_m[i] <= greatest_step * spacing_m[i - 1]) continue;
    remarks.push_back(
        {fmt::format("nothing was measured between spacings of {} and {}: add one near {}",
                     metres(spacing_m[i - 1]), metres(spacing_m[i]),
                     format_quantity(std::sqrt(spacing_m[i - 1] * spacing_m[i]), Dimension::length, 2))});
  }
}

void add_top(double least_m, const PlannedElectrode& electrode, std::vector<SoundingRemark>& remarks) {
  if (least_m <= std::max(1.0, 0.5 * electrode.depth_m)) return;
  remarks.push_back({fmt::format(
      "the least spacing is {}: the top of the ground is not seen; add 0.5 m to 1 m", metres(least_m))});
}

// --- Segments ----------------------------------------------------------------------------------------------

using SegmentKey = std::pair<std::string, std::pair<double, double>>;  // traverse, shorter and longer MN/2

struct Overlap {
  int count = 0;
  double measured = 0.0;  ///< sums of ln ratios
  double predicted = 0.0;
  double variance = 0.0;
};

void add_overlap(const FourPoleReading& shorter, const FourPoleReading& longer,
                 const earth::LayeredSoil& soil, Overlap& overlap) {
  ++overlap.count;
  overlap.measured += std::log(apparent_resistivity_ohm_m(longer) / apparent_resistivity_ohm_m(shorter));
  overlap.predicted += std::log(modelled_apparent_resistivity_ohm_m(soil, longer) /
                                modelled_apparent_resistivity_ohm_m(soil, shorter));
  overlap.variance +=
      std::pow(shorter.relative_error_ratio, 2.0) + std::pow(longer.relative_error_ratio, 2.0);
}

std::map<SegmentKey, Overlap> overlaps(const std::vector<FourPoleReading>& readings,
                                       const earth::LayeredSoil& soil) {
  constexpr double alike = 0.01;
  std::map<SegmentKey, Overlap> found;
  for (const FourPoleReading& a : readings) {
    for (const FourPoleReading& b : readings) {
      const bool is_overlap = a.array == Array::schlumberger && b.array == Array::schlumberger &&
                              a.traverse == b.traverse &&
                              a.half_potential_spacing_m < b.half_potential_spacing_m &&
                              std::abs(std::log(a.half_current_spacing_m / b.half_current_spacing_m)) < alike;
      if (is_overlap)
        add_overlap(a, b, soil,
                    found[{a.traverse, {a.half_potential_spacing_m, b.half_potential_spacing_m}}]);
    }
  }
  return found;
}

SegmentStep step_of(const SegmentKey& key, const Overlap& overlap) {
  constexpr double least_shift = 0.05;
  SegmentStep step;
  step.traverse = key.first;
  step.nearer_half_potential_spacing_m = key.second.first;
  step.farther_half_potential_spacing_m = key.second.second;
  step.overlap_count = overlap.count;
  step.measured_ratio = std::exp(overlap.measured / overlap.count);
  step.predicted_ratio = std::exp(overlap.predicted / overlap.count);
  const double left = (overlap.measured - overlap.predicted) / overlap.count;
  const double error = std::sqrt(overlap.variance) / overlap.count;
  step.is_lateral = std::abs(left) > std::max(least_shift, allowed_sigma * error);
  const std::string change = fmt::format(
      "{}from MN/2 = {} to {} the curve steps by {:+.0f} %; these layers predict {:+.0f} %",
      key.first.empty() ? "" : line_words(key.first) + ": ", metres(key.second.first),
      metres(key.second.second), 100.0 * (step.measured_ratio - 1.0), 100.0 * (step.predicted_ratio - 1.0));
  step.sentence =
      step.is_lateral
          ? fmt::format(
                "{}; the {:+.0f} % left over come from the ground near the potential stakes: move them "
                "sideways and repeat the overlap, or take the segment as shifted",
                change, 100.0 * std::expm1(left))
          : change + ", which explains it";
  return step;
}

}  // namespace

std::vector<SoundingRemark> traverse_remarks(const std::vector<FourPoleReading>& readings) {
  const std::map<std::string, Line> lines = lines_of(readings);
  std::vector<SoundingRemark> remarks;
  for (auto one = lines.begin(); one != lines.end(); ++one) {
    for (auto other = std::next(one); other != lines.end(); ++other) {
      const auto sentence =
          comparison_sentence(one->first, other->first, compared(one->second, other->second));
      if (sentence) remarks.push_back({*sentence});
    }
  }
  return remarks;
}

std::vector<SoundingRemark> plan_remarks(const std::vector<FourPoleReading>& readings,
                                         const PlannedElectrode& electrode) {
  require_positive("electrode.depth_m", electrode.depth_m, "m");
  require_not_negative("electrode.extent_m", electrode.extent_m, "m");
  std::vector<SoundingRemark> remarks;
  if (readings.empty()) return remarks;
  const std::vector<double> spacing_m = spacings_m(readings);
  add_reach(spacing_m.back(), electrode, remarks);
  add_steps(spacing_m, remarks);
  add_top(spacing_m.front(), electrode, remarks);
  return remarks;
}

std::vector<SegmentStep> segment_steps(const std::vector<FourPoleReading>& readings,
                                       const earth::LayeredSoil& soil) {
  std::vector<SegmentStep> steps;
  for (const auto& [key, overlap] : overlaps(readings, soil))
    steps.push_back(step_of(key, overlap));
  return steps;
}

}  // namespace ohmroot::sounding
