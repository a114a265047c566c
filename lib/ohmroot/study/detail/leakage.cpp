// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/study/detail/leakage.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::study::detail {
namespace {

struct Path {
  LeakagePath curve;
  std::vector<std::size_t> numbers;  // of the alike paths, from 1
};

bool is_joined(const electrode::Conductor& before, const electrode::Conductor& after) {
  return before.to.x_m == after.from.x_m && before.to.y_m == after.from.y_m &&
         before.to.depth_m == after.from.depth_m;
}

double length_m(const electrode::Conductor& bar) {
  return std::hypot(bar.to.x_m - bar.from.x_m, bar.to.y_m - bar.from.y_m, bar.to.depth_m - bar.from.depth_m);
}

/// Conductors end to end make one path, so that a ring of many sides is one curve.
std::vector<Path> paths_of(const std::vector<electrode::Conductor>& conductors,
                           const std::vector<electrode::Leakage>& leakage, bool is_depth) {
  std::vector<Path> paths;
  std::vector<std::size_t> path_of(conductors.size());
  std::vector<double> start_m(conductors.size());
  double along_m = 0.0;
  for (std::size_t i = 0; i < conductors.size(); ++i) {
    if (i == 0 || !is_joined(conductors[i - 1], conductors[i])) {
      paths.push_back({{}, {paths.size() + 1}});
      along_m = is_depth ? conductors[i].from.depth_m : 0.0;
    }
    path_of[i] = paths.size() - 1;
    start_m[i] = along_m;
    along_m += length_m(conductors[i]);
  }
  for (const electrode::Leakage& element : leakage) {
    LeakagePath& curve = paths[path_of[element.conductor]].curve;
    curve.from_m.push_back(start_m[element.conductor] + element.from_m);
    curve.to_m.push_back(start_m[element.conductor] + element.to_m);
    curve.share_per_m.push_back(element.current_a / (element.to_m - element.from_m));
  }
  return paths;
}

bool is_alike(const LeakagePath& a, const LeakagePath& b) {
  constexpr double tolerance_ratio = 1e-3;
  return a.share_per_m.size() == b.share_per_m.size() &&
         std::equal(a.share_per_m.begin(), a.share_per_m.end(), b.share_per_m.begin(),
                    [](double x, double y) { return std::abs(x - y) <= tolerance_ratio * std::abs(x); });
}

std::string name_of(const Path& path, std::string_view kind, std::size_t path_count) {
  if (path_count == 1) return std::string(kind);
  if (path.numbers.size() == 1) return fmt::format("{} {}", kind, path.numbers.front());
  if (path.numbers.size() > 4) return fmt::format("{} {}s alike", path.numbers.size(), kind);
  std::string list;
  for (std::size_t i = 0; i < path.numbers.size(); ++i)
    list += fmt::format("{}{}", i == 0 ? "" : i + 1 == path.numbers.size() ? " and " : ", ", path.numbers[i]);
  return fmt::format("{}s {}", kind, list);
}

constexpr std::array<std::string_view, std::variant_size_v<electrode::Shape>> path_kinds{
    "rod", "rod", "rod", "rod", "tape", "conductor", "ring", "bar", "strip"};

}  // namespace

LeakageCurve leakage_of(const electrode::Shape& shape, const earth::LayeredSoil& soil) {
  const electrode::Electrode metal{"electrode", electrode::conductors_of(shape)};
  const electrode::FieldSolution solution =
      electrode::solve_field(soil, {metal}, {.place_tolerance_ratio = 1e-3});
  const std::array<electrode::Duty, 1> one_ampere{{{electrode::DutyKind::current, 1.0}}};
  LeakageCurve result;
  result.is_depth = std::all_of(metal.conductors.begin(), metal.conductors.end(), [](const auto& bar) {
    return bar.from.x_m == bar.to.x_m && bar.from.y_m == bar.to.y_m;
  });
  const std::vector<Path> all =
      paths_of(metal.conductors, solution.leakage(solution.state(one_ampere)), result.is_depth);
  std::vector<Path> different;
  for (const Path& path : all) {
    const auto like = std::find_if(different.begin(), different.end(),
                                   [&](const Path& other) { return is_alike(other.curve, path.curve); });
    if (like == different.end())
      different.push_back(path);
    else
      like->numbers.push_back(path.numbers.front());
  }
  for (Path& path : different) {
    path.curve.name = name_of(path, path_kinds[shape.index()], all.size());
    result.paths.push_back(std::move(path.curve));
  }
  double depth_m = 0.0;
  for (const earth::Layer& layer : soil.layers()) {
    depth_m += layer.thickness_m;
    if (std::isfinite(depth_m)) result.interface_depth_m.push_back(depth_m);
  }
  return result;
}

}  // namespace ohmroot::study::detail
