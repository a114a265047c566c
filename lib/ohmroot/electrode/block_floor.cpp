// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/detail/panels.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

namespace ohmroot::electrode {

namespace {

using detail::Panel;
using detail::PanelBody;
using detail::Point;

constexpr double edge_power_ratio = 4.0;  // leakage at a right edge grows like its distance to the power -1/3

void require_valid(const ReachableVolume& volume, const BlockOptions& options) {
  detail::require_length("length_m", volume.length_m);
  detail::require_length("width_m", volume.width_m);
  detail::require_length("depth_m", volume.depth_m);
  constexpr double greatest_ratio = 1000.0;
  const auto [least, greatest] = std::minmax({volume.length_m, volume.width_m, volume.depth_m});
  if (greatest > greatest_ratio * least)
    throw DomainError("greatest over least side", greatest / least, "1", "at most 1000");
  require_within("cell_count", options.cell_count, "1", {3, 16});
}

/// From the middle of a face to its edge. [m]
std::vector<double> half_side_m(double side_m, int cell_count) {
  std::vector<double> cuts = detail::graded_ratios({cell_count, edge_power_ratio, false, true});
  for (double& cut : cuts)
    cut *= 0.5 * side_m;
  return cuts;
}

/// From the surface to the lower edge, with a cut at each boundary of layers. [m]
std::vector<double> depths_m(const earth::LayeredSoil& soil, double depth_m, int cell_count) {
  std::vector<double> cuts = detail::graded_ratios({cell_count, edge_power_ratio, false, true});
  for (double& cut : cuts)
    cut *= depth_m;
  double bottom_m = 0.0;
  for (std::size_t i = 0; i + 1 < soil.layers().size(); ++i) {
    bottom_m += soil.layers()[i].thickness_m;
    if (bottom_m < depth_m && std::find(cuts.begin(), cuts.end(), bottom_m) == cuts.end())
      cuts.push_back(bottom_m);
  }
  std::sort(cuts.begin(), cuts.end());
  return cuts;
}

/// Panels between the cuts of two directions; corner_at places a point of them in space.
template <class CornerAt>
void add_face(std::vector<Panel>& panels, const std::vector<double>& a, const std::vector<double>& b,
              CornerAt corner_at) {
  for (std::size_t i = 0; i + 1 < a.size(); ++i)
    for (std::size_t j = 0; j + 1 < b.size(); ++j)
      panels.emplace_back(std::array<Point, 4>{corner_at(a[i], b[j]), corner_at(a[i + 1], b[j]),
                                               corner_at(a[i + 1], b[j + 1]), corner_at(a[i], b[j + 1])});
}

std::vector<Panel> quarter_of(const earth::LayeredSoil& soil, const ReachableVolume& volume, int cell_count) {
  const std::vector<double> along = half_side_m(volume.length_m, cell_count);
  const std::vector<double> across = half_side_m(volume.width_m, cell_count);
  const std::vector<double> down = depths_m(soil, volume.depth_m, cell_count);
  std::vector<Panel> panels;
  add_face(panels, along, across, [&](double x, double y) { return Point{x, y, volume.depth_m}; });
  add_face(panels, across, down, [&](double y, double z) { return Point{along.back(), y, z}; });
  add_face(panels, along, down, [&](double x, double z) { return Point{x, across.back(), z}; });
  return panels;
}

struct Extremes {
  double least_v = std::numeric_limits<double>::infinity();
  double greatest_v = 0.0;

  void add(const Extremes& other) {
    least_v = std::min(least_v, other.least_v);
    greatest_v = std::max(greatest_v, other.greatest_v);
  }
};

/// Potentials of points of a body. Panels share their edges, and a finer grid holds the coarser one: no point is
/// calculated twice.
class Potentials {
public:
  Potentials(const PanelBody& body, const std::vector<double>& currents_a)
      : body_(body), currents_a_(currents_a) {}

  [[nodiscard]] double at_v(const Point& at) {
    const auto rounded = [](double value_m) { return std::llround(value_m / same_m); };
    const auto [known, is_new] = known_v_.try_emplace({rounded(at.x_m), rounded(at.y_m), rounded(at.z_m)});
    if (is_new) known->second = body_.potential_v(currents_a_, at);
    return known->second;
  }

private:
  static constexpr double same_m = 1e-9;
  const PanelBody& body_;
  const std::vector<double>& currents_a_;
  std::map<std::array<long long, 3>, double> known_v_;
};

/// On a grid over one panel, its corners and edges included.
Extremes extremes_on(Potentials& potentials, const Panel& panel, int step_count) {
  Extremes found;
  for (int i = 0; i <= step_count; ++i) {
    for (int j = 0; j <= step_count; ++j) {
      const double potential_v =
          potentials.at_v(panel.at(static_cast<double>(i) / step_count, static_cast<double>(j) / step_count));
      found.add({potential_v, potential_v});
    }
  }
  return found;
}

/// A coarse grid on all panels, one twice as fine on those that come near the ends; the ends are widened by
/// the step between the two.
Extremes search(const PanelBody& body, const std::vector<double>& currents_a) {
  constexpr int coarse_steps = 2;
  Potentials potentials(body, currents_a);
  std::vector<Extremes> coarse_of;
  Extremes coarse;
  for (const Panel& panel : body.panels()) {
    coarse_of.push_back(extremes_on(potentials, panel, coarse_steps));
    coarse.add(coarse_of.back());
  }
  constexpr double near_ratio = 0.1;
  const double near_v = near_ratio * (coarse.greatest_v - coarse.least_v);
  Extremes fine = coarse;
  for (std::size_t i = 0; i < coarse_of.size(); ++i) {
    const Extremes& here = coarse_of[i];
    if (here.least_v <= coarse.least_v + near_v || here.greatest_v >= coarse.greatest_v - near_v)
      fine.add(extremes_on(potentials, body.panels()[i], 2 * coarse_steps));
  }
  return {fine.least_v - (coarse.least_v - fine.least_v),
          fine.greatest_v + (fine.greatest_v - coarse.greatest_v)};
}

}  // namespace

BlockResistance block_resistance(const earth::LayeredSoil& soil, const ReachableVolume& volume,
                                 const BlockOptions& options) {
  require_valid(volume, options);
  const PanelBody body(soil, quarter_of(soil, volume, options.cell_count), {true, true});
  const PanelBody::Solution solution = body.solve();
  const Extremes found = search(body, solution.currents_a);
  constexpr double quadrature_error_ratio = 2e-5;  // of the panels' far fields
  const double left_open_ratio = quadrature_error_ratio + 2.0 * body.kernel_error_ratio();
  const double lower = found.least_v * (1.0 - left_open_ratio);
  const double upper = found.greatest_v * (1.0 + left_open_ratio);
  return {lower, upper, std::clamp(solution.resistance_ohm, lower, upper)};
}

}  // namespace ohmroot::electrode
