// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/mesh.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode {

namespace {

using detail::require_length;
using std::numbers::pi;

void require_valid_size(const MeshSize& mesh) {
  require_length("conductor_length_m", mesh.conductor_length_m);
  require_length("depth_m", mesh.depth_m);
  require_positive("area_m2", mesh.area_m2, "m2");
  require_within("area_m2", mesh.area_m2, "m2", {1e-12, 1e12});
}

/// k = slope x + start at one depth over the root of the area.
struct Line {
  double depth_ratio;
  double k1_slope, k1_start;
  double k2_slope, k2_start;
};
constexpr std::array lines{Line{0.0, -0.04, 1.41, 0.15, 5.50}, Line{0.1, -0.05, 1.20, 0.10, 4.68},
                           Line{1.0 / 6.0, -0.05, 1.13, -0.05, 4.40}};

CombinedCoefficients on(const Line& line, double x) {
  return {line.k1_slope * x + line.k1_start, line.k2_slope * x + line.k2_start};
}

/// R1 per ohm m.
double mesh_part_per_m(const MeshSize& mesh, double diameter_m, const CombinedCoefficients& k) {
  const double length_m = mesh.conductor_length_m;
  return (std::log(2.0 * length_m / std::sqrt(diameter_m * mesh.depth_m)) +
          k.k1_ratio * length_m / std::sqrt(mesh.area_m2) - k.k2_ratio) /
         (pi * length_m);
}

}  // namespace

MeshSize size_of(const Mesh& mesh) {
  require_valid(Shape{mesh});
  const auto& [x, y] = std::pair{mesh.along_x, mesh.along_y};
  return {x.length_m * (y.mesh_count + 1) + y.length_m * (x.mesh_count + 1), x.length_m * y.length_m,
          mesh.depth_m};
}

double sverak_factor_per_m(const MeshSize& mesh) {
  require_valid_size(mesh);
  return 1.0 / mesh.conductor_length_m +
         (1.0 + 1.0 / (1.0 + mesh.depth_m * std::sqrt(20.0 / mesh.area_m2))) / std::sqrt(20.0 * mesh.area_m2);
}

double laurent_factor_per_m(const MeshSize& mesh) {
  require_valid_size(mesh);
  return 0.25 * std::sqrt(pi / mesh.area_m2) + 1.0 / mesh.conductor_length_m;
}

CombinedCoefficients combined_coefficients(const MeshProportions& mesh) {
  require_not_negative("depth_ratio", mesh.depth_ratio, "1");
  require_within("length_to_width_ratio", mesh.length_to_width_ratio, "1", {1.0, 1e6});
  const auto deeper = std::find_if(lines.begin(), lines.end(),
                                   [&](const Line& line) { return line.depth_ratio >= mesh.depth_ratio; });
  if (deeper == lines.begin()) return on(lines.front(), mesh.length_to_width_ratio);
  if (deeper == lines.end()) return on(lines.back(), mesh.length_to_width_ratio);
  const Line& shallower = *(deeper - 1);
  const double part =
      (mesh.depth_ratio - shallower.depth_ratio) / (deeper->depth_ratio - shallower.depth_ratio);
  const CombinedCoefficients a = on(shallower, mesh.length_to_width_ratio);
  const CombinedCoefficients b = on(*deeper, mesh.length_to_width_ratio);
  return {std::lerp(a.k1_ratio, b.k1_ratio, part), std::lerp(a.k2_ratio, b.k2_ratio, part)};
}

CombinedResistance combined_resistance(const MeshAndRods& both) {
  require_valid_size(both.mesh);
  require_length("diameter_m", both.diameter_m);
  require_length("rod_length_m", both.rod_length_m);
  require_length("rod_diameter_m", both.rod_diameter_m);
  require_positive("mesh_resistivity_ohm_m", both.mesh_resistivity_ohm_m, "ohm m");
  require_positive("rod_resistivity_ohm_m", both.rod_resistivity_ohm_m, "ohm m");
  require_within("rod_count", both.rod_count, "1", {1, detail::most_rods});
  const double length_m = both.mesh.conductor_length_m;
  const double root_area_m = std::sqrt(both.mesh.area_m2);
  const auto& [k1, k2] = both.coefficients;
  const double rod_m = both.rod_length_m;
  CombinedResistance result{};
  result.mesh_ohm =
      both.mesh_resistivity_ohm_m * mesh_part_per_m(both.mesh, both.diameter_m, both.coefficients);
  result.rods_ohm = both.rod_resistivity_ohm_m / (2.0 * pi * both.rod_count * rod_m) *
                    (std::log(8.0 * rod_m / both.rod_diameter_m) - 1.0 +
                     2.0 * k1 * rod_m / root_area_m * std::pow(std::sqrt(both.rod_count) - 1.0, 2.0));
  result.mutual_ohm = both.rod_resistivity_ohm_m / (pi * length_m) *
                      (std::log(2.0 * length_m / rod_m) + k1 * length_m / root_area_m - k2 + 1.0);
  result.total_ohm = (result.mesh_ohm * result.rods_ohm - result.mutual_ohm * result.mutual_ohm) /
                     (result.mesh_ohm + result.rods_ohm - 2.0 * result.mutual_ohm);
  return result;
}

double schwarz_factor_per_m(const Mesh& mesh) {
  const MeshSize size = size_of(mesh);
  const auto [shorter_m, longer_m] = std::minmax({mesh.along_x.length_m, mesh.along_y.length_m});
  const CombinedCoefficients k =
      combined_coefficients({mesh.depth_m / std::sqrt(size.area_m2), longer_m / shorter_m});
  return mesh_part_per_m(size, 2.0 * mesh.radius_m, k);
}

}  // namespace ohmroot::electrode
