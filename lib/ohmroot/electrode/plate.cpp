// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/detail/panels.hpp>
#include <ohmroot/electrode/plate.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

namespace {

using detail::Panel;
using detail::Point;
using std::numbers::pi;

constexpr double edge_power_ratio = 4.0;  // leakage at a free edge grows like its distance to the power -1/2

void require_depth(double depth_m) {
  require_not_negative("depth_m", depth_m, "m");
  require_within("depth_m", depth_m, "m", {0.0, detail::length_limits_m.greatest});
}

void require_upright_fits(double half_height_m, double depth_m) {
  if (depth_m < half_height_m)
    throw DomainError("depth_m", depth_m, "m", "at least half the height of the upright plate");
}

void require_valid(const RectangularPlate& plate) {
  electrode::require_valid(Shape{plate});
}

void require_valid(const CircularPlate& plate) {
  detail::require_length("diameter_m", plate.diameter_m);
  require_depth(plate.depth_m);
  if (plate.attitude == PlateAttitude::vertical) require_upright_fits(plate.diameter_m / 2.0, plate.depth_m);
}

/// Depths where a vertical plate is cut.
std::vector<double> boundaries_m(const earth::LayeredSoil& soil) {
  std::vector<double> boundaries;
  double bottom_m = 0.0;
  for (std::size_t i = 0; i + 1 < soil.layers().size(); ++i)
    boundaries.push_back(bottom_m += soil.layers()[i].thickness_m);
  return boundaries;
}

/// The half of a rectangle at positive x, or its quarter at positive x and y if it is horizontal.
std::vector<Panel> panels_of(const earth::LayeredSoil& soil, const RectangularPlate& plate, int cell_count) {
  const bool is_upright = plate.attitude == PlateAttitude::vertical;
  const auto along = detail::graded_ratios({cell_count, edge_power_ratio, false, true});
  std::vector<double> across;
  if (is_upright) {
    const bool has_free_top = plate.depth_m > plate.width_m / 2.0;
    for (const double ratio : detail::graded_ratios({2 * cell_count, edge_power_ratio, has_free_top, true}))
      across.push_back(plate.depth_m + (ratio - 0.5) * plate.width_m);
    const double top_m = across.front();
    const double bottom_m = across.back();
    for (const double boundary_m : boundaries_m(soil))
      if (boundary_m > top_m && boundary_m < bottom_m) across.push_back(boundary_m);
    std::sort(across.begin(), across.end());
    across.erase(std::unique(across.begin(), across.end()), across.end());
  } else {
    for (const double ratio : along)
      across.push_back(ratio * plate.width_m / 2.0);
  }
  const auto corner = [&](double ratio, double v) {
    const double x = ratio * plate.length_m / 2.0;
    return is_upright ? Point{x, 0.0, v} : Point{x, v, plate.depth_m};
  };
  std::vector<Panel> panels;
  for (std::size_t i = 0; i + 1 < along.size(); ++i)
    for (std::size_t j = 0; j + 1 < across.size(); ++j)
      panels.emplace_back(std::array<Point, 4>{corner(along[i], across[j]), corner(along[i + 1], across[j]),
                                               corner(along[i + 1], across[j + 1]),
                                               corner(along[i], across[j + 1])});
  return panels;
}

/// Cuts a panel at a depth into convex parts: corners above and below, with the points of the cut in both.
void split_at(std::vector<std::vector<Point>>& pieces, double depth_m) {
  std::vector<std::vector<Point>> result;
  for (const auto& piece : pieces) {
    std::vector<Point> above;
    std::vector<Point> below;
    for (std::size_t i = 0; i < piece.size(); ++i) {
      const Point& a = piece[i];
      const Point& b = piece[(i + 1) % piece.size()];
      if (a.z_m <= depth_m) above.push_back(a);
      if (a.z_m >= depth_m) below.push_back(a);
      if ((a.z_m - depth_m) * (b.z_m - depth_m) < 0.0) {
        const double part = (depth_m - a.z_m) / (b.z_m - a.z_m);
        const Point cut{a.x_m + part * (b.x_m - a.x_m), a.y_m + part * (b.y_m - a.y_m), depth_m};
        above.push_back(cut);
        below.push_back(cut);
      }
    }
    for (auto& part : {above, below})
      if (part.size() >= 3) result.push_back(part);
  }
  pieces = std::move(result);
}

/// A convex polygon of three to eight corners as panels: fans of quadrilaterals from its first corner.
void add_polygon(std::vector<Panel>& panels, const std::vector<Point>& corners) {
  for (std::size_t i = 1; i + 1 < corners.size(); i += 2) {
    const std::size_t last = std::min(i + 2, corners.size() - 1);
    const std::array<Point, 4> quadrilateral{corners[0], corners[i], corners[i + 1], corners[last]};
    panels.emplace_back(quadrilateral);
  }
}

/// A quarter (horizontal) or half (vertical) of a polygon with the disc's area.
std::vector<Panel> panels_of(const earth::LayeredSoil& soil, const CircularPlate& plate, int cell_count) {
  constexpr int sectors_per_quarter = 12;
  constexpr double sector = pi / (2.0 * sectors_per_quarter);
  const bool is_upright = plate.attitude == PlateAttitude::vertical;
  // area of the polygon: half its radius squared times the sine, for each sector
  const double radius_m = plate.diameter_m / 2.0 * std::sqrt(sector / std::sin(sector));
  const auto radii = detail::graded_ratios({2 * cell_count, 3.0, false, true});
  const auto corner = [&](std::size_t ring, int step) {
    const double angle = is_upright ? sector * step - pi / 2.0 : sector * step;
    const double u = radii[ring] * radius_m * std::cos(angle);
    const double v = radii[ring] * radius_m * std::sin(angle);
    // the polygon's corners stand out of the disc by 0.1 %: not out of the soil
    return is_upright ? Point{u, 0.0, std::max(0.0, plate.depth_m + v)} : Point{u, v, plate.depth_m};
  };
  const std::vector<double> cuts = is_upright ? boundaries_m(soil) : std::vector<double>{};
  const int step_count = is_upright ? 2 * sectors_per_quarter : sectors_per_quarter;
  std::vector<Panel> panels;
  for (int step = 0; step < step_count; ++step) {
    for (std::size_t ring = 0; ring + 1 < radii.size(); ++ring) {
      std::vector<Point> outline{corner(ring, step), corner(ring + 1, step), corner(ring + 1, step + 1)};
      if (ring > 0) outline.push_back(corner(ring, step + 1));
      std::vector<std::vector<Point>> pieces{outline};
      for (const double cut_m : cuts)
        split_at(pieces, cut_m);
      for (const auto& piece : pieces)
        add_polygon(panels, piece);
    }
  }
  return panels;
}

bool is_horizontal(const Plate& plate) {
  return std::visit([](const auto& kind) { return kind.attitude == PlateAttitude::horizontal; }, plate);
}

struct Fineness {
  double resistance_ohm;
  double kernel_error_ratio;
};

Fineness solved(const earth::LayeredSoil& soil, const Plate& plate, int cell_count) {
  const detail::PanelBody body(
      soil, std::visit([&](const auto& kind) { return panels_of(soil, kind, cell_count); }, plate),
      {true, is_horizontal(plate)});
  return {body.solve().resistance_ohm, body.kernel_error_ratio()};
}

void require_series(const DiscAtDepth& disc) {
  detail::require_length("radius_m", disc.radius_m);
  detail::require_length("depth_m", disc.depth_m);
  if (disc.depth_m < disc.radius_m)
    throw DomainError("depth_m", disc.depth_m, "m", "at least the radius: the series diverges");
}

/// 1/8a + 1/(4 pi s) [1 + second a2/s2 + fourth a4/s4], s twice the depth.
double series_per_m(const DiscAtDepth& disc, double second, double fourth) {
  require_series(disc);
  const double s = 2.0 * disc.depth_m;
  const double squared = disc.radius_m * disc.radius_m / (s * s);
  return 1.0 / (8.0 * disc.radius_m) + (1.0 + second * squared + fourth * squared * squared) / (4.0 * pi * s);
}

}  // namespace

PlateResistance plate_resistance(const earth::LayeredSoil& soil, const Plate& plate) {
  std::visit([](const auto& kind) { require_valid(kind); }, plate);
  constexpr int coarse_count = 5;
  constexpr int fine_count = 8;
  constexpr double aim_ratio = 1e-3;
  constexpr double rule_error_ratio = 1e-4;  // of the panels' quadrature and the polygon
  const Fineness coarse = solved(soil, plate, coarse_count);
  const Fineness fine = solved(soil, plate, fine_count);
  const double error_ratio = std::abs(fine.resistance_ohm / coarse.resistance_ohm - 1.0) +
                             fine.kernel_error_ratio + rule_error_ratio;
  return {fine.resistance_ohm, error_ratio,
          error_ratio <= aim_ratio ? PlateStatus::converged : PlateStatus::coarse};
}

double plate_factor_on_surface_per_m(double area_m2) {
  require_positive("area_m2", area_m2, "m2");
  require_within("area_m2", area_m2, "m2", {1e-12, 1e12});
  return 0.25 * std::sqrt(pi / area_m2);
}

double plate_factor_at_depth_per_m(const PlateAtDepth& plate) {
  require_positive("area_m2", plate.area_m2, "m2");
  require_within("area_m2", plate.area_m2, "m2", {1e-12, 1e12});
  require_depth(plate.depth_m);
  const double radius_m = std::sqrt(plate.area_m2 / pi);
  return (1.0 + radius_m / (2.5 * plate.depth_m + radius_m)) / (8.0 * radius_m);
}

double horizontal_disc_series_per_m(const DiscAtDepth& disc) {
  return series_per_m(disc, -7.0 / 12.0, 33.0 / 40.0);
}

double vertical_disc_series_per_m(const DiscAtDepth& disc) {
  return series_per_m(disc, 7.0 / 24.0, 99.0 / 320.0);
}

double equilibrium_disc_series_per_m(const DiscAtDepth& disc) {
  return series_per_m(disc, -2.0 / 3.0, 0.0);
}

}  // namespace ohmroot::electrode
