// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/bar_end.hpp>
#include <ohmroot/electrode/detail/pieces.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode::detail {
namespace {

using Eigen::Vector3d;

constexpr double first_element_radii = 1.0;
constexpr double growth = 3.0;

Vector3d position(const Place& place) {
  return {place.x_m, place.y_m, place.depth_m};
}

/// A place along a conductor where its elements must end.
struct Cut {
  double along_m;
  bool is_joint;
};

struct Stretch {
  double from_m;
  double to_m;
  End from_end;
  End to_end;
};

/// Lengths from the graded end inwards, as long as they fit into the room.
std::vector<double> graded_breaks(double first_m, double room_m) {
  std::vector<double> breaks;
  double at_m = first_m;
  for (double size_m = first_m; at_m < 0.6 * room_m; at_m += size_m) {
    breaks.push_back(at_m);
    size_m *= growth;
  }
  return breaks;
}

bool is_graded(End end) {
  return end == End::free || end == End::covered;
}

std::vector<double> first_breaks(const Stretch& stretch, double radius_m) {
  const double length_m = stretch.to_m - stretch.from_m;
  const bool grades_from = is_graded(stretch.from_end);
  const bool grades_to = is_graded(stretch.to_end);
  const double room_m = grades_from && grades_to ? length_m / 2.0 : length_m;
  const auto graded = graded_breaks(first_element_radii * radius_m, room_m);
  std::vector<double> breaks{0.0};
  if (grades_from) breaks.insert(breaks.end(), graded.begin(), graded.end());
  // An element that lies evenly about the middle would exchange nothing between its halves, by symmetry, and
  // the estimate from two levels could not see what it lacks.
  if (grades_from == grades_to) breaks.push_back(length_m / 2.0);
  if (grades_to)
    for (auto at = graded.rbegin(); at != graded.rend(); ++at)
      breaks.push_back(length_m - *at);
  breaks.push_back(length_m);
  return breaks;
}

/// All conductors with their joints.
class Network {
public:
  Network(const Electrode& electrode, const earth::ImageKernel& kernel)
      : electrode_(electrode), kernel_(kernel), cuts_(electrode.conductors.size()),
        ends_(electrode.conductors.size(), {End::free, End::free}) {
    for (std::size_t i = 0; i < cuts_.size(); ++i)
      for (std::size_t j = i + 1; j < cuts_.size(); ++j)
        join(i, j);
  }

  /// The stretches of a conductor between its joints, free ends made longer.
  [[nodiscard]] std::vector<Stretch> stretches(std::size_t index) const {
    const Conductor& conductor = electrode_.conductors[index];
    const double length_m = (position(conductor.to) - position(conductor.from)).norm();
    auto [from_end, to_end] = ends_[index];
    if (from_end == End::free && conductor.from.depth_m == 0.0) from_end = End::mirrored;
    if (to_end == End::free && conductor.to.depth_m == 0.0) to_end = End::mirrored;
    const double rise = (conductor.to.depth_m - conductor.from.depth_m) / length_m;  // per length
    const auto longer_m = [&](const Place& end, double sink) {
      const double all_m = longer_ratio(conductor, end) * conductor.radius_m;
      return sink < 0.0 ? std::min(all_m, end.depth_m / -sink) : all_m;
    };
    std::vector<Stretch> result;
    double at_m = from_end == End::free ? -longer_m(conductor.from, -rise) : 0.0;
    const double end_m = length_m + (to_end == End::free ? longer_m(conductor.to, rise) : 0.0);
    End end = from_end;
    auto cuts = cuts_[index];
    std::sort(cuts.begin(), cuts.end());
    for (const double cut_m : cuts) {
      if (cut_m - at_m < conductor.radius_m) continue;  // two joints in one place
      result.push_back({at_m, cut_m, end, End::joined});
      at_m = cut_m;
      end = End::joined;
    }
    result.push_back({at_m, end_m, end, to_end});
    return result;
  }

private:
  [[nodiscard]] double longer_ratio(const Conductor& conductor, const Place& end) const {
    if (!conductor.core) return flat_end_ratio;
    const double soil_ohm_m = kernel_.soil().layers()[kernel_.layer_of(end.depth_m)].resistivity_ohm_m;
    return filled_end_ratio(conductor.radius_m / conductor.core->radius_m,
                            conductor.core->fill_resistivity_ohm_m / soil_ohm_m);
  }

  void join(std::size_t i, std::size_t j) {
    const Conductor& first = electrode_.conductors[i];
    const Conductor& second = electrode_.conductors[j];
    const double reach_m = first.radius_m + second.radius_m;
    const Approach approach = closest_approach(first, second);
    if (approach.distance_m >= reach_m) return;
    mark(i, approach.along_first_m, reach_m, second.coating);
    mark(j, approach.along_second_m, reach_m, first.coating);
  }

  void mark(std::size_t index, double along_m, double reach_m, Coating other) {
    const Conductor& conductor = electrode_.conductors[index];
    const double length_m = (position(conductor.to) - position(conductor.from)).norm();
    const End kind = other == Coating::bare ? End::joined : End::covered;
    End& from = ends_[index].first;
    End& to = ends_[index].second;
    if (along_m < reach_m) {
      if (from != End::joined) from = kind;
    } else if (along_m > length_m - reach_m) {
      if (to != End::joined) to = kind;
    } else if (kind == End::joined) {
      cuts_[index].push_back(along_m);
    }
  }

  const Electrode& electrode_;
  const earth::ImageKernel& kernel_;
  std::vector<std::vector<double>> cuts_;
  std::vector<std::pair<End, End>> ends_;
};

/// Cuts a stretch at layer boundaries and appends the pieces.
void append_pieces(std::vector<Piece>& pieces, const Conductor& conductor, const Stretch& stretch,
                   const earth::ImageKernel& kernel, Piece blank) {
  const Vector3d from = position(conductor.from);
  blank.direction = (position(conductor.to) - from).normalized();
  blank.radius_m = conductor.radius_m;
  blank.core = conductor.core;
  const auto breaks = first_breaks(stretch, conductor.radius_m);
  std::vector<double> boundaries{stretch.from_m};
  double interface_m = 0.0;
  for (const auto& layer : kernel.soil().layers()) {
    interface_m += layer.thickness_m;
    if (std::isinf(interface_m) || blank.direction.z() == 0.0) break;
    const double at_m = (interface_m - from.z()) / blank.direction.z();
    const double least_m = 1e-9 * (stretch.to_m - stretch.from_m);
    if (at_m > stretch.from_m + least_m && at_m < stretch.to_m - least_m) boundaries.push_back(at_m);
  }
  boundaries.push_back(stretch.to_m);
  std::sort(boundaries.begin(), boundaries.end());
  for (std::size_t i = 0; i + 1 < boundaries.size(); ++i) {
    Piece piece = blank;
    const double from_m = boundaries[i];
    const double to_m = boundaries[i + 1];
    piece.start = from + from_m * blank.direction;
    piece.along_m = from_m;
    piece.layer = kernel.layer_of(std::max(0.0, (from + (from_m + to_m) / 2.0 * blank.direction).z()));
    piece.from_end = i == 0 ? stretch.from_end : End::joined;
    piece.to_end = i + 2 == boundaries.size() ? stretch.to_end : End::joined;
    piece.breaks_m = {0.0};
    for (const double at : breaks) {
      const double along_m = stretch.from_m + at - from_m;
      const double least_m = 0.25 * conductor.radius_m;
      if (along_m > least_m && along_m < to_m - from_m - least_m) piece.breaks_m.push_back(along_m);
    }
    piece.breaks_m.push_back(to_m - from_m);
    pieces.push_back(std::move(piece));
  }
}

}  // namespace

namespace {

/// Bars in contact are described by the mean chord between their walls, which means nothing for elements
/// shorter than about two radii.
constexpr double least_joint_radii = 2.0;

}  // namespace

bool Piece::touches_joint(std::size_t element) const {
  return (element == 0 && from_end == End::joined) ||
         (element + 1 == element_count() && to_end == End::joined);
}

double Piece::split_m(std::size_t element) const {
  constexpr double nearer_end = 0.25;
  const double length = breaks_m[element + 1] - breaks_m[element];
  const bool is_first = element == 0 && from_end != End::mirrored;
  const bool is_last = element + 1 == element_count() && to_end != End::mirrored;
  const bool is_short = touches_joint(element) && nearer_end * length < least_joint_radii * radius_m;
  const double part = is_first == is_last || is_short ? 0.5 : is_first ? nearer_end : 1.0 - nearer_end;
  return breaks_m[element] + part * length;
}

bool Piece::may_be_refined(std::size_t element) const {
  const double at = split_m(element);
  const double shorter = std::min(at - breaks_m[element], breaks_m[element + 1] - at);
  return !touches_joint(element) || shorter >= 2.0 * least_joint_radii * radius_m;  // it is divided once more
}

double Piece::greatest_element_m() const {
  double greatest_m = 0.0;
  for (std::size_t i = 0; i + 1 < breaks_m.size(); ++i)
    greatest_m = std::max(greatest_m, breaks_m[i + 1] - breaks_m[i]);
  return greatest_m;
}

Approach closest_approach(const Conductor& first, const Conductor& second) {
  const Vector3d p = position(first.from);
  const Vector3d q = position(second.from);
  const Vector3d u = position(first.to) - p;
  const Vector3d v = position(second.to) - q;
  const Vector3d w = p - q;
  const double uu = u.squaredNorm();
  const double vv = v.squaredNorm();
  const double uv = u.dot(v);
  const double determinant = uu * vv - uv * uv;
  // Parallel bars: any place will do, the ends are tried below through clamping.
  double s = determinant > 1e-12 * uu * vv
                 ? std::clamp((uv * v.dot(w) - vv * u.dot(w)) / determinant, 0.0, 1.0)
                 : 0.0;
  double t = std::clamp((v.dot(w) + s * uv) / vv, 0.0, 1.0);
  s = std::clamp((t * uv - u.dot(w)) / uu, 0.0, 1.0);
  t = std::clamp((v.dot(w) + s * uv) / vv, 0.0, 1.0);
  return {(w + s * u - t * v).norm(), s * std::sqrt(uu), t * std::sqrt(vv)};
}

std::vector<Piece> make_pieces(const std::vector<Electrode>& electrodes, const earth::ImageKernel& kernel) {
  std::vector<Piece> pieces;
  for (std::size_t e = 0; e < electrodes.size(); ++e) {
    const Network network(electrodes[e], kernel);
    for (std::size_t c = 0; c < electrodes[e].conductors.size(); ++c) {
      const Conductor& conductor = electrodes[e].conductors[c];
      if (conductor.coating == Coating::insulated) continue;
      Piece blank{};
      blank.electrode = e;
      blank.conductor = c;
      for (const Stretch& stretch : network.stretches(c))
        append_pieces(pieces, conductor, stretch, kernel, blank);
    }
  }
  return pieces;
}

double overlap_m(const Conductor& first, const Conductor& second) {
  const Vector3d from = position(first.from);
  const Vector3d axis = position(first.to) - from;
  const double length_m = axis.norm();
  const auto [from_m, to_m] = std::minmax({(position(second.from) - from).dot(axis) / length_m,
                                           (position(second.to) - from).dot(axis) / length_m});
  return std::min(to_m, length_m) - std::max(from_m, 0.0);
}

namespace {

constexpr double usual_logarithm = 8.0;  // of length over radius: what a share of the field is divided by

/// Bends and ends of short bars (polygons against the torus), and stout bars (finite elements at a slenderness
/// of 20): times (radius / length)^2.
double stoutness_error(const Electrode& electrode) {
  constexpr double per_bar = 0.05;
  double length_m = 0.0;
  double radius_m = 0.0;
  double bends_m = 0.0;
  for (const Conductor& conductor : electrode.conductors) {
    if (conductor.coating == Coating::insulated) continue;
    const double bar_m = (position(conductor.to) - position(conductor.from)).norm();
    length_m += bar_m;
    radius_m = std::max(radius_m, conductor.radius_m);
    bends_m += conductor.radius_m * conductor.radius_m / bar_m;
  }
  const double whole = per_bar * std::pow(radius_m / length_m, 2.0);
  return electrode.conductors.size() == 1 ? whole : whole + per_bar * bends_m / length_m;
}

/// A bar lying beside the surface or a layer boundary, which mirror it in part.
double boundary_error(const earth::LayeredSoil& soil, const Conductor& bar) {
  const double rise_m = std::abs(bar.to.depth_m - bar.from.depth_m);
  if (rise_m > 0.5 * (position(bar.to) - position(bar.from)).norm()) return 0.0;
  const double depth_m = (bar.from.depth_m + bar.to.depth_m) / 2.0;
  const auto error = [&](double boundary_m, double reflection) {
    const double apart_m = 2.0 * std::max({std::abs(depth_m - boundary_m), bar.radius_m, rise_m / 4.0});
    return std::abs(reflection) * std::pow(bar.radius_m / apart_m, 2.0) / usual_logarithm;
  };
  double worst = error(0.0, 1.0);
  double boundary_m = 0.0;
  for (std::size_t i = 0; i + 1 < soil.layers().size(); ++i) {
    const double upper = soil.layers()[i].resistivity_ohm_m;
    const double lower = soil.layers()[i + 1].resistivity_ohm_m;
    boundary_m += soil.layers()[i].thickness_m;
    worst = std::max(worst, error(boundary_m, (lower - upper) / (lower + upper)));
  }
  return worst;
}

/// One bar lying beside another: each crowds the current of the other (dipole term).
double nearness_error(const Conductor& bar, const Conductor& other) {
  const double length_m = (position(bar.to) - position(bar.from)).norm();
  const double beside = std::clamp(overlap_m(bar, other) / length_m, 0.0, 1.0);
  if (beside == 0.0) return 0.0;
  const double apart_m = closest_approach(bar, other).distance_m;
  if (apart_m < bar.radius_m + other.radius_m) return 0.0;  // in contact
  return beside * std::pow(std::max(bar.radius_m, other.radius_m) / apart_m, 2.0) / usual_logarithm;
}

/// What the end of a fill is known to, and a fill across a boundary of layers, of which there is none within it: columns
/// of 50 and 100 mm across contrasts of 10 err by half of this (finite elements, reference/fem/filled.txt).
double fill_error(const earth::LayeredSoil& soil, const Conductor& bar) {
  const double fill_ohm_m = fill_resistance_ohm_m(bar.radius_m, bar.core);
  const double length_m = (position(bar.to) - position(bar.from)).norm();
  const auto [upper_m, lower_m] = std::minmax(bar.from.depth_m, bar.to.depth_m);
  constexpr double end_known_to = 0.02;
  constexpr double per_boundary = 0.3;
  const auto best =
      std::min_element(soil.layers().begin(), soil.layers().end(), [](const auto& a, const auto& b) {
        return a.resistivity_ohm_m < b.resistivity_ohm_m;
      });
  const double end_ratio = filled_end_ratio(bar.radius_m / bar.core->radius_m,
                                            bar.core->fill_resistivity_ohm_m / best->resistivity_ohm_m);
  double sum = end_known_to * std::abs(end_ratio - flat_end_ratio) * bar.radius_m / length_m;
  double boundary_m = 0.0;
  for (std::size_t i = 0; i + 1 < soil.layers().size(); ++i) {
    boundary_m += soil.layers()[i].thickness_m;
    if (boundary_m <= upper_m || boundary_m >= lower_m) continue;
    const auto [least, greatest] =
        std::minmax(soil.layers()[i].resistivity_ohm_m, soil.layers()[i + 1].resistivity_ohm_m);
    const double fill_share =
        fill_ohm_m / (fill_ohm_m + least * std::log(length_m / bar.radius_m) / (2.0 * std::numbers::pi));
    sum += per_boundary * (greatest - least) / (greatest + least) * fill_share * bar.radius_m / length_m;
  }
  return sum;
}

}  // namespace

double model_error_ratio(const earth::LayeredSoil& soil, const std::vector<Electrode>& electrodes) {
  std::vector<const Conductor*> bars;
  double worst = 0.0;
  for (const Electrode& electrode : electrodes) {
    worst = std::max(worst, stoutness_error(electrode));
    for (const Conductor& conductor : electrode.conductors)
      if (conductor.coating == Coating::bare) bars.push_back(&conductor);
  }
  for (std::size_t i = 0; i < bars.size(); ++i) {
    worst = std::max(worst, boundary_error(soil, *bars[i]));
    if (bars[i]->core) worst = std::max(worst, fill_error(soil, *bars[i]));
    for (std::size_t j = i + 1; j < bars.size(); ++j)
      worst = std::max(worst, nearness_error(*bars[i], *bars[j]));
  }
  return worst;
}

}  // namespace ohmroot::electrode::detail
