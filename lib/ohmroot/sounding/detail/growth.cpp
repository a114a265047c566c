// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/growth.hpp>
#include <ohmroot/sounding/detail/slips.hpp>
#include <ohmroot/sounding/detail/stake_gap.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

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
  const auto inner = [](const Point& p) { return stake_gap_m(*p.reading); };
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
                           is_centred(*points[near].reading) && is_centred(*points[far].reading) &&
                           is_farther_out(points[far], points[near]);
      if (!is_pair) continue;
      const double excess = ln_slope(points[far]) - ln_slope(points[near]);
      if (excess > allowed_sigma * joint_error(points[near], points[far]))
        found.push_back({near, far, excess});
    }
  }
  return found;
}

/// How each reading lies to the line of its neighbours; nothing where that cannot be said.
std::vector<std::optional<Outlier>> off_line(const std::vector<Point>& points) {
  std::vector<std::optional<Outlier>> found(points.size());
  std::vector<const Point*> all;
  for (const Point& point : points)
    all.push_back(&point);
  for (const std::vector<Node>& curve : curves_of(all)) {
    for (std::size_t i = 1; curve.size() >= least_curve_size && i + 1 < curve.size(); ++i) {
      for (const Point* point : curve[i].points)
        found[point->index] = outlier_at(curve, i);
    }
  }
  return found;
}

/// The reading that takes part in most of the contradictions; of several alike the one that lies farthest off
/// its line, or else the one farther out.
std::size_t most_blamed(const std::vector<Growth>& found, const std::vector<std::optional<Outlier>>& lines) {
  std::map<std::size_t, std::size_t> counts;
  for (const Growth& growth : found) {
    ++counts[growth.near];
    ++counts[growth.far];
  }
  const auto rank = [&](std::size_t position) {
    return std::pair(counts[position], lines[position] ? lines[position]->sigma_count : 0.0);
  };
  std::size_t best = found.front().far;
  for (const auto& [position, count] : counts) {
    if (rank(position) > rank(best)) best = position;
  }
  return best;
}

std::string growth_sentence(const std::vector<Point>& points, const Growth& growth, std::size_t blamed,
                            const std::optional<Outlier>& line) {
  const bool is_far_blamed = blamed == growth.far;
  const Point& doubted = points[blamed];
  const Point& other = points[is_far_blamed ? growth.near : growth.far];
  return fmt::format(
      "{} lies {} what {} {}: over layered soil the resistance cannot grow with spacing; check leads, "
      "stakes and units and repeat both{}",
      name_of(doubted), off_words(is_far_blamed ? growth.ln_excess : -growth.ln_excess), name_of(other),
      is_far_blamed ? "allows" : "demands",
      slip_words(doubted, line ? line->ln_predicted : other.ln_apparent));
}

}  // namespace

std::map<std::size_t, std::string> growing_readings(const std::vector<Point>& points) {
  std::map<std::size_t, std::string> blamed;
  const std::vector<std::optional<Outlier>> lines = off_line(points);
  for (std::vector<Growth> left = growths(points); !left.empty();) {
    const std::size_t position = most_blamed(left, lines);
    const auto involves = [position](const Growth& g) { return g.near == position || g.far == position; };
    std::optional<Growth> worst;
    for (const Growth& growth : left) {
      if (involves(growth) && (!worst || growth.ln_excess > worst->ln_excess)) worst = growth;
    }
    blamed[position] = growth_sentence(points, *worst, position, lines[position]);
    std::erase_if(left, involves);
  }
  return blamed;
}

}  // namespace ohmroot::sounding::detail
