// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/growth.hpp>
#include <ohmroot/sounding/detail/reading_curve.hpp>
#include <ohmroot/sounding/detail/slips.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

namespace ohmroot::sounding {
namespace {

using detail::Node;
using detail::Outlier;
using detail::Point;

constexpr double usual_repeat_ratio = 0.05;     // practice, from memory
constexpr double allowed_polarity_ratio = 0.2;  // our judgement
constexpr double chance_of_false_repeat = 0.001;

// --- Off the line of its neighbours ----------------------------------------------------------------------

std::string outlier_sentence(const std::vector<Node>& curve, const Outlier& outlier, const Point& point) {
  std::string other;
  if (outlier.position == 1) other = name_of(*curve.front().points.front());
  if (outlier.position + 2 == curve.size()) other = name_of(*curve.back().points.front());
  if (!other.empty()) other = fmt::format(" (it may be {} that is off instead)", other);
  return fmt::format(
      "{} lies {} what its neighbours allow{}; move the stakes half a metre sideways and repeat{}",
      name_of(point), detail::off_words(outlier.ln_off), other, slip_words(point, outlier.ln_predicted));
}

void add_outliers(std::vector<Node> curve, std::vector<ReadingDoubt>& doubts) {
  while (const auto outlier = detail::worst_outlier(curve)) {
    for (const Point* point : curve[outlier->position].points)
      doubts.push_back({point->index, outlier_sentence(curve, *outlier, *point)});
    curve.erase(curve.begin() + static_cast<std::ptrdiff_t>(outlier->position));
  }
}

/// What growth and neighbours say against the readings of one line.
std::vector<ReadingDoubt> curve_doubts(const std::vector<FourPoleReading>& readings) {
  const std::vector<Point> points = detail::points_of(readings);
  std::vector<ReadingDoubt> doubts;
  const auto growing = detail::growing_readings(points);
  std::vector<const Point*> others;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (const auto found = growing.find(i); found != growing.end())
      doubts.push_back({i, found->second});
    else
      others.push_back(&points[i]);
  }
  for (std::vector<Node>& curve : detail::curves_of(others))
    add_outliers(std::move(curve), doubts);
  return doubts;
}

// --- Swapped -----------------------------------------------------------------------------------------------

bool is_one_line(const FourPoleReading& a, const FourPoleReading& b) {
  return a.traverse == b.traverse && a.array == b.array;
}

/// The line with the resistances of two of its readings exchanged.
std::vector<FourPoleReading> exchanged(const std::vector<FourPoleReading>& readings, std::size_t i,
                                       std::size_t j) {
  std::vector<FourPoleReading> line;
  for (const FourPoleReading& reading : readings) {
    if (reading.traverse == readings[i].traverse) line.push_back(reading);
  }
  const auto at = [&](std::size_t index) -> FourPoleReading& {
    const auto before =
        std::count_if(readings.begin(), readings.begin() + static_cast<std::ptrdiff_t>(index),
                      [&](const FourPoleReading& r) { return r.traverse == readings[i].traverse; });
    return line[static_cast<std::size_t>(before)];
  };
  std::swap(at(i).resistance_ohm, at(j).resistance_ohm);
  std::swap(at(i).relative_error_ratio, at(j).relative_error_ratio);
  return line;
}

/// A reading beside the doubtful one, above or below it in the sheet, whose exchange takes every doubt away.
std::optional<std::size_t> swap_partner(const std::vector<FourPoleReading>& readings, std::size_t doubted) {
  const std::size_t first = doubted == 0 ? 0 : doubted - 1;
  for (std::size_t other = first; other <= doubted + 1 && other < readings.size(); ++other) {
    if (other == doubted || !is_one_line(readings[doubted], readings[other])) continue;
    if (curve_doubts(exchanged(readings, doubted, other)).empty()) return other;
  }
  return std::nullopt;
}

void add_swap_words(const std::vector<FourPoleReading>& readings, std::vector<ReadingDoubt>& doubts) {
  const std::vector<Point> points = detail::points_of(readings);
  for (ReadingDoubt& doubt : doubts) {
    if (const auto other = swap_partner(readings, doubt.reading_index))
      doubt.sentence += fmt::format("; exchanged with {} both would fit: check the rows of the sheet",
                                    name_of(points[*other]));
  }
}

// --- Copied ------------------------------------------------------------------------------------------------

void add_copies(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (const auto& [near, far] : detail::copied_pairs(points))
    doubts.push_back(
        {far, fmt::format("{} shows the very same {} as {}: a copied cell; look at the field "
                          "notes or repeat both",
                          name_of(points[far]),
                          format_quantity(points[far].reading->resistance_ohm, Dimension::resistance),
                          name_of(points[near]))});
}

// --- Repeats, polarities, stakes ----------------------------------------------------------------------------

bool is_same_place(const Point& a, const Point& b) {
  if (a.reading->array == Array::four_points || !is_one_line(*a.reading, *b.reading)) return &a == &b;
  return a.reading->half_current_spacing_m == b.reading->half_current_spacing_m &&
         a.reading->half_potential_spacing_m == b.reading->half_potential_spacing_m &&
         a.reading->potential_offset_m == b.reading->potential_offset_m;
}

void add_repeats(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto first = std::find_if(points.begin(), points.end(),
                                    [&](const Point& p) { return is_same_place(p, points[i]); });
    const double off = points[i].ln_apparent - first->ln_apparent;
    if (std::abs(off) <= detail::allowed_sigma * joint_error(points[i], *first)) continue;
    doubts.push_back(
        {i,
         fmt::format("{} lies {} what {} shows at the same place; repeat it, or name the lines if these are "
                     "two (column \"traverse\")",
                     name_of(points[i]), detail::off_words(off), name_of(*first))});
  }
}

/// Standard deviation of single values over their mean.
double scatter_ratio(const std::vector<double>& values_ohm, double mean_ohm) {
  double sum = 0.0;
  for (const double value_ohm : values_ohm)
    sum += std::pow(value_ohm / mean_ohm - 1.0, 2.0);
  return std::sqrt(sum / static_cast<double>(values_ohm.size() - 1));
}

/// Words on two values of which one is about 10, 100 or 1000 times the other; empty if there are none.
std::string slipped_repeat(std::vector<double> values_ohm) {
  std::sort(values_ohm.begin(), values_ohm.end());
  const double middle_ohm = values_ohm[values_ohm.size() / 2];
  for (const auto& [greater_ohm, lesser_ohm] :
       {std::pair{values_ohm.back(), middle_ohm}, std::pair{middle_ohm, values_ohm.front()}}) {
    const double decades = std::log10(greater_ohm / lesser_ohm);
    const double whole = std::round(decades);
    if (!(whole >= 1.0 && whole <= 3.0 && std::abs(decades - whole) <= 0.1)) continue;
    return fmt::format("{} is about {:.0f} times {}: a slip of the decimal mark? Correct that line, or ",
                       format_given(greater_ohm, Dimension::resistance), std::pow(10.0, whole),
                       format_given(lesser_ohm, Dimension::resistance));
  }
  return {};
}

void add_scatters(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (const Point& point : points) {
    const std::vector<double>& repeats_ohm = point.reading->repeats_ohm;
    if (repeats_ohm.size() < 2) continue;
    const double freedom = static_cast<double>(repeats_ohm.size() - 1);
    const boost::math::chi_squared distribution(freedom);
    const double allowed_ratio =
        usual_repeat_ratio *
        std::sqrt(boost::math::quantile(boost::math::complement(distribution, chance_of_false_repeat)) /
                  freedom);
    const double scatter = scatter_ratio(repeats_ohm, point.reading->resistance_ohm);
    if (scatter <= allowed_ratio) continue;
    doubts.push_back(
        {point.index,
         fmt::format("{} scatters by {:.0f} % over its {} repeats, good ones agree "
                     "within 5 %: {}wet the stakes, look for a loose lead or a stray "
                     "current and repeat",
                     name_of(point), 100.0 * scatter, repeats_ohm.size(), slipped_repeat(repeats_ohm))});
  }
}

void add_polarities(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (const Point& point : points) {
    if (!point.reading->polarity) continue;
    const auto& [forward_ohm, reversed_ohm] = *point.reading->polarity;
    const double off = std::abs(forward_ohm - reversed_ohm) / point.reading->resistance_ohm;
    if (off <= allowed_polarity_ratio) continue;
    doubts.push_back(
        {point.index,
         fmt::format(
             "{} shows {} one way and {} with the current reversed, {:.0f} % apart: a stray current or "
             "a poor contact; wait until it settles, change the test frequency if the tester can, "
             "repeat",
             name_of(point), format_quantity(forward_ohm, Dimension::resistance),
             format_quantity(reversed_ohm, Dimension::resistance), 100.0 * off)});
  }
}

void add_deep_stakes(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (const Point& point : points) {
    const double gap_m = detail::stake_gap_m(*point.reading);
    if (point.reading->driven_depth_m <= detail::greatest_depth_ratio * gap_m) continue;
    doubts.push_back(
        {point.index,
         fmt::format("{} has stakes driven {}, more than a fifth of the {} between them; drive "
                     "them less deep and repeat",
                     name_of(point), format_quantity(point.reading->driven_depth_m, Dimension::length),
                     format_quantity(gap_m, Dimension::length))});
  }
}

// --- By itself ----------------------------------------------------------------------------------------------

struct ResistivityRange {
  double least_ohm_m;
  double greatest_ohm_m;
  std::string words;  ///< whose it is, as in "clay in published lists"
};

ResistivityRange any_soil() {
  ResistivityRange all{std::numeric_limits<double>::infinity(), 0.0, "any soil in published lists"};
  for (const earth::SoilWord& word : earth::soil_words()) {
    all.least_ohm_m = std::min(all.least_ohm_m, word.least_resistivity_ohm_m);
    all.greatest_ohm_m = std::max(all.greatest_ohm_m, word.greatest_resistivity_ohm_m);
  }
  return all;
}

/// The slip that brings a reading into the range, the least decimal places first; empty if none does.
std::string slip_into(const ResistivityRange& range, const Point& point) {
  const auto is_inside = [&](double ohm_m) {
    return ohm_m >= range.least_ohm_m && ohm_m <= range.greatest_ohm_m;
  };
  const double apparent_ohm_m = std::exp(point.ln_apparent);
  for (const int places : {1, -1, 2, -2, 3, -3}) {
    const double factor = std::pow(10.0, places);
    if (is_inside(apparent_ohm_m * factor))
      return fmt::format("; it would fit if {} had been meant: look at unit and decimal mark",
                         format_quantity(point.reading->resistance_ohm * factor, Dimension::resistance));
  }
  return {};
}

std::vector<ReadingDoubt> range_doubts(const std::vector<Point>& points, const ResistivityRange& range) {
  constexpr double allowed_ratio = 3.0;
  std::vector<ReadingDoubt> doubts;
  for (const Point& point : points) {
    const double apparent_ohm_m = std::exp(point.ln_apparent);
    const bool is_low = apparent_ohm_m * allowed_ratio < range.least_ohm_m;
    if (!is_low && apparent_ohm_m <= allowed_ratio * range.greatest_ohm_m) continue;
    const double end_ohm_m = is_low ? range.least_ohm_m : range.greatest_ohm_m;
    doubts.push_back(
        {point.index,
         fmt::format(
             "{} shows {}, far {} of {} ({}): look at leads, stakes and the tester's range, and repeat{}",
             name_of(point), format_quantity(apparent_ohm_m, Dimension::resistivity),
             is_low ? "below the least" : "above the most", range.words,
             format_quantity(end_ohm_m, Dimension::resistivity), slip_into(range, point))});
  }
  return doubts;
}

}  // namespace

std::vector<ReadingDoubt> soil_doubts(const std::vector<FourPoleReading>& readings,
                                      const earth::SoilWord& soil) {
  return range_doubts(detail::points_of(readings),
                      {soil.least_resistivity_ohm_m, soil.greatest_resistivity_ohm_m,
                       fmt::format("{} in published lists", soil.word)});
}

std::string judged_words(const std::vector<FourPoleReading>& readings, std::size_t index,
                         bool is_soil_named) {
  constexpr double coarse_ohm =
      0.1;  // the last digit of many testers is 0.01 ohm (common practice, no source)
  const FourPoleReading& reading = readings.at(index);
  const std::vector<Point> points = detail::points_of(readings);
  std::vector<const Point*> all;
  for (const Point& point : points)
    all.push_back(&point);
  std::size_t spacing_count = 1;
  bool is_end = true;
  for (const std::vector<Node>& curve : detail::curves_of(all)) {
    for (std::size_t i = 0; i < curve.size(); ++i) {
      const bool is_here = std::any_of(curve[i].points.begin(), curve[i].points.end(),
                                       [&](const Point* point) { return point->index == index; });
      if (!is_here) continue;
      spacing_count = curve.size();
      is_end = i == 0 || i + 1 == curve.size();
    }
  }
  std::string open;
  const auto leave_open = [&](const std::string& words) { open += (open.empty() ? "" : "; ") + words; };
  if (spacing_count == 1) leave_open("whether R falls with the spacing, as it must (from the second on)");
  if (spacing_count < detail::least_curve_size)
    leave_open("whether its neighbours allow it (from the fifth spacing on)");
  else if (is_end)
    leave_open("whether its neighbours allow it: it stands at an end of the curve, and one spacing beyond "
               "would tell");
  if (spacing_count == 1) leave_open("the contact of the stakes, which only the tester shows");
  if (!is_soil_named && spacing_count < detail::least_curve_size) leave_open("the soil: name it (soil clay)");
  if (reading.driven_depth_m == 0.0 && spacing_count == 1)
    leave_open("the stakes: state their depth (depth=20 cm)");
  if (reading.resistance_ohm < coarse_ohm)
    leave_open("the last digit of the tester, which counts at so small an R: more current, or state error=");
  if (open.empty()) return {};
  return fmt::format("Judged by itself: order of magnitude{}{}. Not judged: {}.",
                     is_soil_named ? ", range of the soil" : "",
                     reading.driven_depth_m > 0.0 ? ", depth of the stakes" : "", open);
}

std::vector<ReadingDoubt> doubtful_readings(const std::vector<FourPoleReading>& readings) {
  const std::vector<Point> points = detail::points_of(readings);
  std::vector<ReadingDoubt> doubts;
  add_repeats(points, doubts);
  std::vector<ReadingDoubt> off_curve = curve_doubts(readings);
  add_swap_words(readings, off_curve);
  doubts.insert(doubts.end(), off_curve.begin(), off_curve.end());
  add_copies(points, doubts);
  add_scatters(points, doubts);
  add_polarities(points, doubts);
  add_deep_stakes(points, doubts);
  for (ReadingDoubt& doubt : range_doubts(points, any_soil())) {
    const bool is_doubted = std::any_of(doubts.begin(), doubts.end(), [&](const ReadingDoubt& other) {
      return other.reading_index == doubt.reading_index;  // for a better reason
    });
    if (!is_doubted) doubts.push_back(std::move(doubt));
  }
  std::stable_sort(doubts.begin(), doubts.end(), [](const ReadingDoubt& a, const ReadingDoubt& b) {
    return a.reading_index < b.reading_index;
  });
  return doubts;
}

}  // namespace ohmroot::sounding
