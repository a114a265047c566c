// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

namespace ohmroot::sounding {
namespace {

constexpr double allowed_sigma = 3.0;
constexpr std::size_t least_curve_size = 5;

/// One reading as the checks see it.
struct Point {
  std::size_t index;
  const FourPoleReading* reading;
  double ln_factor;    // unit: ln of m
  double ln_apparent;  // unit: ln of ohm m
};

double ln_spacing(const Point& point) {
  return std::log(plotted_spacing_m(*point.reading));
}

double joint_error(const Point& a, const Point& b) {
  return std::hypot(a.reading->relative_error_ratio, b.reading->relative_error_ratio);
}

std::vector<Point> points_of(const std::vector<FourPoleReading>& readings) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < readings.size(); ++i)
    points.push_back({i, &readings[i], std::log(geometric_factor_m(readings[i])),
                      std::log(apparent_resistivity_ohm_m(readings[i]))});
  return points;
}

// --- Words -----------------------------------------------------------------------------------------------

/// "reading 6 at a = 8 m (line 14)"
std::string name_of(const Point& point) {
  const FourPoleReading& reading = *point.reading;
  return fmt::format("reading {} at {} = {}{}", point.index + 1,
                     reading.array == Array::wenner ? "a" : "AB/2",
                     format_quantity(plotted_spacing_m(reading), Dimension::length),
                     reading.sheet_line > 0 ? fmt::format(" (line {})", reading.sheet_line) : "");
}

/// "38 % above", "12 times"
std::string off_words(double ln_ratio) {
  if (ln_ratio > std::log(3.0)) return fmt::format("{} times", format_number(std::exp(ln_ratio), 2));
  return fmt::format("{:.0f} % {}", 100.0 * std::abs(std::expm1(ln_ratio)),
                     ln_ratio > 0.0 ? "above" : "below");
}

/// A cell that holds ohm m among cells of ohm makes the apparent resistivity too high by the factor K.
std::string unit_hint(const Point& point, double ln_expected) {
  const double off = point.ln_apparent - ln_expected;
  const bool looks_like_ohm_m = point.ln_factor > 1.0 && std::abs(off - point.ln_factor) < 0.4;
  return looks_like_ohm_m
             ? "; it would fit if the number were an apparent resistivity in ohm m instead of ohm"
             : "";
}

// --- Off the line of its neighbours ----------------------------------------------------------------------

/// Readings at one spacing, as one point of a curve.
struct Node {
  std::vector<const Point*> points;
  double ln_spacing = 0.0;
  double ln_apparent = 0.0;
  double ln_error = 0.0;
};

Node node_of(std::vector<const Point*> points) {
  Node node;
  double weight_sum = 0.0;
  for (const Point* point : points) {
    const double weight = std::pow(point->reading->relative_error_ratio, -2.0);
    weight_sum += weight;
    node.ln_apparent += weight * point->ln_apparent;
  }
  node.ln_apparent /= weight_sum;
  node.ln_error = 1.0 / std::sqrt(weight_sum);
  node.ln_spacing = ln_spacing(*points.front());
  node.points = std::move(points);
  return node;
}

/// Curves that ought to be smooth: one line, one array and, for Schlumberger, one MN, since a curve steps
/// where MN is changed. Each sorted by spacing.
std::vector<std::vector<Node>> curves_of(const std::vector<const Point*>& points) {
  using CurveKey = std::tuple<std::string, Array, double>;
  std::map<CurveKey, std::map<double, std::vector<const Point*>>> groups;
  for (const Point* point : points) {
    const FourPoleReading& reading = *point->reading;
    const double segment = reading.array == Array::wenner ? 0.0 : reading.half_potential_spacing_m;
    groups[{reading.traverse, reading.array, segment}][plotted_spacing_m(reading)].push_back(point);
  }
  std::vector<std::vector<Node>> curves;
  for (auto& [key, spacings] : groups) {
    curves.emplace_back();
    for (auto& [spacing, at_spacing] : spacings)
      curves.back().push_back(node_of(std::move(at_spacing)));
  }
  return curves;
}

struct Prediction {
  double ln_apparent;
  double ln_error;
};

/// Polynomial in ln(spacing) through the given nodes, at a place.
Prediction polynomial(const std::vector<const Node*>& nodes, double at) {
  Prediction result{0.0, 0.0};
  for (const Node* node : nodes) {
    double weight = 1.0;
    for (const Node* other : nodes) {
      if (other != node) weight *= (at - other->ln_spacing) / (node->ln_spacing - other->ln_spacing);
    }
    result.ln_apparent += weight * node->ln_apparent;
    result.ln_error = std::hypot(result.ln_error, weight * node->ln_error);
  }
  return result;
}

struct Outlier {
  std::size_t position;
  double ln_off;       ///< from the nearest end of what the neighbours allow
  double ln_expected;  // unit: ln of ohm m
  double sigma_count;
};

/// Steepest slope between neighbouring nodes.
double greatest_slope(const std::vector<const Node*>& nodes) {
  double greatest = 0.0;
  for (std::size_t i = 1; i < nodes.size(); ++i) {
    const double rise = nodes[i]->ln_apparent - nodes[i - 1]->ln_apparent;
    greatest = std::max(greatest, std::abs(rise) / (nodes[i]->ln_spacing - nodes[i - 1]->ln_spacing));
  }
  return greatest;
}

/// What the curve through the neighbours may miss of a layered earth's curve: as much as it bends away from
/// the straight line, and what a polynomial misses where the sampling is coarse and the curve steep. The
/// factor was set so that nearly all random curves of two to four layers, sampled at spacings in ratio 2,
/// stay silent (tests).
double granted_miss(const std::vector<const Node*>& neighbours, const Node& node, double bend) {
  constexpr double miss_per_slope = 0.2;
  double gaps = 1.0;
  for (const Node* neighbour : neighbours)
    gaps *= std::abs(node.ln_spacing - neighbour->ln_spacing);
  return std::abs(bend) + miss_per_slope * greatest_slope(neighbours) * gaps;
}

/// How far an inner node lies outside what up to two neighbours on each side allow.
Outlier outlier_at(const std::vector<Node>& curve, std::size_t position) {
  std::vector<const Node*> neighbours;
  const std::size_t first = position >= 2 ? position - 2 : 0;
  for (std::size_t i = first; i <= std::min(position + 2, curve.size() - 1); ++i) {
    if (i != position) neighbours.push_back(&curve[i]);
  }
  const Node& node = curve[position];
  const Prediction bent = polynomial(neighbours, node.ln_spacing);
  const Prediction straight = polynomial({&curve[position - 1], &curve[position + 1]}, node.ln_spacing);
  const double granted = granted_miss(neighbours, node, bent.ln_apparent - straight.ln_apparent);
  const double expected =
      std::clamp(node.ln_apparent, bent.ln_apparent - granted, bent.ln_apparent + granted);
  const double off = node.ln_apparent - expected;
  const double error = std::hypot(node.ln_error, std::max(bent.ln_error, straight.ln_error));
  return {position, off, expected, std::abs(off) / error};
}

std::optional<Outlier> worst_outlier(const std::vector<Node>& curve) {
  std::optional<Outlier> worst;
  if (curve.size() < least_curve_size) return worst;
  for (std::size_t i = 1; i + 1 < curve.size(); ++i) {
    const Outlier outlier = outlier_at(curve, i);
    const double floor = worst ? worst->sigma_count : allowed_sigma;
    if (outlier.sigma_count > floor) worst = outlier;
  }
  return worst;
}

std::string outlier_sentence(const std::vector<Node>& curve, const Outlier& outlier, const Point& point) {
  std::string other;
  if (outlier.position == 1) other = name_of(*curve.front().points.front());
  if (outlier.position + 2 == curve.size()) other = name_of(*curve.back().points.front());
  if (!other.empty()) other = fmt::format(" (it may be {} that is off instead)", other);
  return fmt::format(
      "{} lies {} what its neighbours allow{}; move the stakes half a metre sideways and repeat{}",
      name_of(point), off_words(outlier.ln_off), other, unit_hint(point, outlier.ln_expected));
}

void add_outliers(std::vector<Node> curve, std::vector<ReadingDoubt>& doubts) {
  while (const auto outlier = worst_outlier(curve)) {
    for (const Point* point : curve[outlier->position].points)
      doubts.push_back({point->index, outlier_sentence(curve, *outlier, *point)});
    curve.erase(curve.begin() + static_cast<std::ptrdiff_t>(outlier->position));
  }
}

// --- Resistance must not grow ----------------------------------------------------------------------------

/// Resistance over ln(BM/AM), as if the stakes stood at the surface: the mean of -r dV/dr between M and N.
/// Over layered soil -r dV/dr never grows with r (the field rule that a sounding curve rises by at most 45
/// degrees), so that its mean cannot grow when both ends of the span move outwards. For Wenner ln(BM/AM) is
/// ln 2: R itself.
double ln_slope(const Point& point) {
  FourPoleReading at_surface = *point.reading;
  at_surface.driven_depth_m = 0.0;
  const double L = at_surface.half_current_spacing_m;
  const double l = at_surface.half_potential_spacing_m;
  return point.ln_apparent - std::log(geometric_factor_m(at_surface)) - std::log(std::log((L + l) / (L - l)));
}

/// Both ends of the span between M and N lie farther out than those of the other.
bool is_farther_out(const Point& a, const Point& b) {
  const auto inner = [](const Point& p) { return detail::stake_gap_m(*p.reading); };
  const auto outer = [](const Point& p) {
    return p.reading->half_current_spacing_m + p.reading->half_potential_spacing_m;
  };
  return inner(a) >= inner(b) && outer(a) >= outer(b) && inner(a) + outer(a) > inner(b) + outer(b);
}

struct Growth {
  std::size_t near;  ///< position in the points
  std::size_t far;
  double ln_excess;
};

std::vector<Growth> growths(const std::vector<Point>& points) {
  std::vector<Growth> found;
  for (std::size_t near = 0; near < points.size(); ++near) {
    for (std::size_t far = 0; far < points.size(); ++far) {
      const bool is_pair = points[near].reading->traverse == points[far].reading->traverse &&
                           is_farther_out(points[far], points[near]);
      if (!is_pair) continue;
      const double excess = ln_slope(points[far]) - ln_slope(points[near]);
      if (excess > allowed_sigma * joint_error(points[near], points[far]))
        found.push_back({near, far, excess});
    }
  }
  return found;
}

/// Standard deviations by which each reading lies off the line of its neighbours; 0 where that cannot be
/// said.
std::vector<double> off_line(const std::vector<Point>& points) {
  std::vector<double> sigma_counts(points.size(), 0.0);
  std::vector<const Point*> all;
  for (const Point& point : points)
    all.push_back(&point);
  for (const std::vector<Node>& curve : curves_of(all)) {
    for (std::size_t i = 1; curve.size() >= least_curve_size && i + 1 < curve.size(); ++i) {
      for (const Point* point : curve[i].points)
        sigma_counts[point->index] = outlier_at(curve, i).sigma_count;
    }
  }
  return sigma_counts;
}

/// The reading that takes part in most of the contradictions; of several alike the one that lies farthest off
/// its line, or else the one farther out.
std::size_t most_blamed(const std::vector<Growth>& found, const std::vector<double>& off_line_sigma) {
  std::map<std::size_t, std::size_t> counts;
  for (const Growth& growth : found) {
    ++counts[growth.near];
    ++counts[growth.far];
  }
  const auto rank = [&](std::size_t position) {
    return std::pair(counts[position], off_line_sigma[position]);
  };
  std::size_t best = found.front().far;
  for (const auto& [position, count] : counts) {
    if (rank(position) > rank(best)) best = position;
  }
  return best;
}

std::string growth_sentence(const std::vector<Point>& points, const Growth& growth, std::size_t blamed) {
  const bool is_far_blamed = blamed == growth.far;
  const Point& doubted = points[blamed];
  const Point& other = points[is_far_blamed ? growth.near : growth.far];
  return fmt::format(
      "{} lies {} what {} {}: over layered soil the resistance cannot grow with spacing; check leads, "
      "stakes and units and repeat both{}",
      name_of(doubted), off_words(is_far_blamed ? growth.ln_excess : -growth.ln_excess), name_of(other),
      is_far_blamed ? "allows" : "demands", unit_hint(doubted, other.ln_apparent));
}

/// Positions of the readings to blame, each with its sentence.
std::map<std::size_t, std::string> growing_readings(const std::vector<Point>& points) {
  std::map<std::size_t, std::string> blamed;
  const std::vector<double> off_line_sigma = off_line(points);
  for (std::vector<Growth> left = growths(points); !left.empty();) {
    const std::size_t position = most_blamed(left, off_line_sigma);
    const auto involves = [position](const Growth& g) { return g.near == position || g.far == position; };
    std::optional<Growth> worst;
    for (const Growth& growth : left) {
      if (involves(growth) && (!worst || growth.ln_excess > worst->ln_excess)) worst = growth;
    }
    blamed[position] = growth_sentence(points, *worst, position);
    std::erase_if(left, involves);
  }
  return blamed;
}

// --- Repeats, stakes -------------------------------------------------------------------------------------

bool is_same_place(const Point& a, const Point& b) {
  return a.reading->traverse == b.reading->traverse &&
         a.reading->half_current_spacing_m == b.reading->half_current_spacing_m &&
         a.reading->half_potential_spacing_m == b.reading->half_potential_spacing_m;
}

void add_repeats(const std::vector<Point>& points, std::vector<ReadingDoubt>& doubts) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto first = std::find_if(points.begin(), points.end(),
                                    [&](const Point& p) { return is_same_place(p, points[i]); });
    const double off = points[i].ln_apparent - first->ln_apparent;
    if (std::abs(off) <= allowed_sigma * joint_error(points[i], *first)) continue;
    doubts.push_back(
        {i,
         fmt::format("{} lies {} what {} shows at the same place; repeat it, or name the lines if these are "
                     "two (column \"traverse\")",
                     name_of(points[i]), off_words(off), name_of(*first))});
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

}  // namespace

std::vector<ReadingDoubt> doubtful_readings(const std::vector<FourPoleReading>& readings) {
  const std::vector<Point> points = points_of(readings);
  std::vector<ReadingDoubt> doubts;
  add_repeats(points, doubts);

  const auto growing = growing_readings(points);
  std::vector<const Point*> others;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (const auto found = growing.find(i); found != growing.end())
      doubts.push_back({i, found->second});
    else
      others.push_back(&points[i]);
  }
  for (std::vector<Node>& curve : curves_of(others))
    add_outliers(std::move(curve), doubts);
  add_deep_stakes(points, doubts);
  std::stable_sort(doubts.begin(), doubts.end(), [](const ReadingDoubt& a, const ReadingDoubt& b) {
    return a.reading_index < b.reading_index;
  });
  return doubts;
}

}  // namespace ohmroot::sounding
