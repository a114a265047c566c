// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/design/arrangement.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::design {
namespace {

double length_m(const PlanLine& way) {
  return std::hypot(way.to.x_m - way.from.x_m, way.to.y_m - way.from.y_m);
}

/// From the MET to the nearest of the places.
std::optional<PlanLine> lead_of(const SitePlan& plan, const std::vector<PlanPoint>& places) {
  if (!plan.met || places.empty()) return std::nullopt;
  PlanLine nearest{*plan.met, places.front()};
  for (const PlanPoint& place : places)
    if (length_m({*plan.met, place}) < length_m(nearest)) nearest.to = place;
  return nearest;
}

double total_m(const std::vector<PlanLine>& ways) {
  double sum_m = 0.0;
  for (const PlanLine& way : ways)
    sum_m += length_m(way);
  return sum_m;
}

}  // namespace

std::string kind_name(Kind kind) {
  switch (kind) {
  case Kind::single_rod:
    return "single rod";
  case Kind::rods_in_line:
    return "rods in line";
  case Kind::rods_along_boundary:
    return "rods along the boundary";
  case Kind::rods_in_grid:
    return "rods in a grid";
  case Kind::rods_free:
    return "rods placed freely";
  case Kind::tape:
    return "straight tape";
  case Kind::ring:
    return "tape along the boundary";
  }
  return "?";
}

std::optional<Arrangement> joined_rods(const SitePlan& plan, Kind kind, std::vector<PlanPoint> places,
                                       int section_count, bool is_tape) {
  Arrangement result{kind, std::move(places), section_count, {}, is_tape};
  const std::size_t n = result.rod_places.size();
  std::vector<bool> is_joined(n, false);
  std::vector<double> nearest_m(n, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> from(n, 0);
  std::size_t last = 0;
  for (std::size_t joined = 1; joined < n; ++joined) {  // Prim's tree
    is_joined[last] = true;
    std::size_t next = n;
    for (std::size_t i = 0; i < n; ++i) {
      if (is_joined[i]) continue;
      const PlanLine way{result.rod_places[last], result.rod_places[i]};
      if (length_m(way) < nearest_m[i] && is_free(plan, way)) {
        nearest_m[i] = length_m(way);
        from[i] = last;
      }
      if (next == n || nearest_m[i] < nearest_m[next]) next = i;
    }
    if (!std::isfinite(nearest_m[next])) return std::nullopt;
    result.ways.push_back({result.rod_places[from[next]], result.rod_places[next]});
    last = next;
  }
  result.met_lead = lead_of(plan, result.rod_places);
  return result;
}

Arrangement laid_tape(const SitePlan& plan, Kind kind, std::vector<PlanLine> ways) {
  std::vector<PlanPoint> ends;
  for (const PlanLine& way : ways) {
    ends.push_back(way.from);
    ends.push_back(way.to);
  }
  return {kind, {}, 0, std::move(ways), true, lead_of(plan, ends)};
}

Quantities quantities_of(const Arrangement& arrangement, const Parts& parts) {
  const int rod_count = static_cast<int>(arrangement.rod_places.size());
  const double ways_m = total_m(arrangement.ways);
  Quantities quantities;
  quantities.section_count = rod_count * arrangement.section_count;
  quantities.coupler_count = rod_count * std::max(0, arrangement.section_count - 1);
  quantities.head_count = rod_count;
  quantities.driven_m = quantities.section_count * parts.rod_section_m;
  const double lead_m = arrangement.met_lead ? length_m(*arrangement.met_lead) : 0.0;
  quantities.trench_m = ways_m + lead_m;
  quantities.tape_m = arrangement.is_tape ? ways_m : 0.0;
  quantities.conductor_m = quantities.trench_m - quantities.tape_m;
  return quantities;
}

std::string describe(const Arrangement& arrangement, const Parts& parts) {
  const std::size_t rod_count = arrangement.rod_places.size();
  if (rod_count == 0)
    return fmt::format("{}, {}", kind_name(arrangement.kind),
                       format_quantity(total_m(arrangement.ways), Dimension::length));
  const std::string length = format_given(arrangement.section_count * parts.rod_section_m, Dimension::length);
  if (rod_count == 1) return fmt::format("one rod of {}", length);
  return fmt::format("{} rods of {} ({}), joined by {} of {}", rod_count, length, kind_name(arrangement.kind),
                     format_quantity(total_m(arrangement.ways), Dimension::length),
                     arrangement.is_tape ? "bare tape" : "insulated conductor");
}

electrode::Electrode metal_of(const Arrangement& arrangement, const Parts& parts) {
  // the tape is clamped to every rod that it passes, and to itself where its ways cross
  electrode::Electrode metal{"design", {}, electrode::Crossings::joined};
  const double rod_m = arrangement.section_count * parts.rod_section_m;
  for (const PlanPoint& place : arrangement.rod_places)
    metal.conductors.push_back(
        {{place.x_m, place.y_m, 0.0}, {place.x_m, place.y_m, rod_m}, parts.rod_diameter_m / 2});
  if (!arrangement.is_tape) return metal;
  const double radius_m = electrode::equivalent_radius_of_tape_m(parts.tape_width_m);
  for (const PlanLine& way : arrangement.ways)
    metal.conductors.push_back({{way.from.x_m, way.from.y_m, parts.trench_depth_m},
                                {way.to.x_m, way.to.y_m, parts.trench_depth_m},
                                radius_m});
  return metal;
}

}  // namespace ohmroot::design
