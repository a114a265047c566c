// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/design/arrangement.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <variant>

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
  case Kind::plates:
    return "plates";
  case Kind::steel:
    return "existing steel";
  }
  return "?";
}

bool has_rods(const Arrangement& arrangement) {
  return !arrangement.places.empty() && arrangement.section_count > 0;
}

bool may_stand(const SitePlan& plan, const Parts& parts, int section_count, const PlanPoint& place) {
  if (section_count > 0 || !parts.plates) return true;
  const double half_m = parts.plates->side_m / 2;
  return is_free(plan, {{place.x_m - half_m, place.y_m}, {place.x_m + half_m, place.y_m}});
}

double least_spacing_m(const SitePlan& plan, const Parts& parts, int section_count) {
  constexpr double sides_apart = 2.0;  // nearer, the coupling of plates depends on how they face each other
  return section_count == 0 && parts.plates
             ? std::max(plan.grid_step_m / 2, sides_apart * parts.plates->side_m)
             : plan.grid_step_m / 2;
}

std::optional<Arrangement> joined_rods(const SitePlan& plan, Kind kind, std::vector<PlanPoint> places,
                                       int section_count, bool is_tape) {
  Arrangement result{section_count > 0 ? kind : Kind::plates, std::move(places), section_count, {}, is_tape};
  const std::size_t n = result.places.size();
  std::vector<bool> is_joined(n, false);
  std::vector<double> nearest_m(n, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> from(n, 0);
  std::size_t last = 0;
  for (std::size_t joined = 1; joined < n; ++joined) {  // Prim's tree
    is_joined[last] = true;
    std::size_t next = n;
    for (std::size_t i = 0; i < n; ++i) {
      if (is_joined[i]) continue;
      const PlanLine way{result.places[last], result.places[i]};
      if (length_m(way) < nearest_m[i] && is_free(plan, way)) {
        nearest_m[i] = length_m(way);
        from[i] = last;
      }
      if (next == n || nearest_m[i] < nearest_m[next]) next = i;
    }
    if (!std::isfinite(nearest_m[next])) return std::nullopt;
    result.ways.push_back({result.places[from[next]], result.places[next]});
    last = next;
  }
  result.met_lead = lead_of(plan, result.places);
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
  const int piece_count = static_cast<int>(arrangement.places.size());
  const int rod_count = has_rods(arrangement) ? piece_count : 0;
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
  quantities.plate_count = piece_count - rod_count;
  quantities.joins_steel = arrangement.joins_steel;
  return quantities;
}

std::string describe(const Arrangement& arrangement, const Parts& parts) {
  if (arrangement.kind == Kind::steel) return parts.steel.value().name;
  const std::size_t count = arrangement.places.size();
  std::string text;
  if (count == 0) {
    text = fmt::format("{}, {}", kind_name(arrangement.kind),
                       format_quantity(total_m(arrangement.ways), Dimension::length));
  } else {
    const bool is_rods = has_rods(arrangement);
    const std::string size =
        is_rods ? format_given(arrangement.section_count * parts.rod_section_m, Dimension::length)
                : format_given(parts.plates.value().side_m, Dimension::length) + " a side, upright";
    text = count == 1 ? fmt::format("one {} of {}", is_rods ? "rod" : "plate", size)
                      : fmt::format("{} {} of {}{}, joined by {} of {}", count, is_rods ? "rods" : "plates",
                                    size, is_rods ? fmt::format(" ({})", kind_name(arrangement.kind)) : "",
                                    format_quantity(total_m(arrangement.ways), Dimension::length),
                                    arrangement.is_tape ? "bare tape" : "insulated conductor");
  }
  return arrangement.joins_steel ? fmt::format("{}, with {}", text, parts.steel.value().name) : text;
}

electrode::Electrode metal_of(const Arrangement& arrangement, const Parts& parts, double refusal_depth_m) {
  // the tape is clamped to every rod that it passes, and to itself where its ways cross
  electrode::Electrode metal{"design", {}, electrode::Crossings::joined};
  const auto add = [&](const electrode::Shape& shape, const PlanPoint& place) {
    for (electrode::Conductor bar : electrode::conductors_of(shape)) {
      for (electrode::Place* end : {&bar.from, &bar.to}) {
        end->x_m += place.x_m;
        end->y_m += place.y_m;
      }
      metal.conductors.push_back(std::move(bar));
    }
  };
  if (!arrangement.places.empty()) {
    electrode::Shape piece = piece_of(parts, arrangement.section_count);
    if (auto* rod = std::get_if<electrode::Rod>(&piece))
      rod->length_m = std::min(rod->length_m, refusal_depth_m);
    for (const PlanPoint& place : arrangement.places)
      add(piece, place);
  }
  if (arrangement.joins_steel) add(parts.steel.value().mesh, parts.steel->corner);
  if (!arrangement.is_tape) return metal;
  const double radius_m = electrode::equivalent_radius_of_tape_m(parts.tape_width_m);
  for (const PlanLine& way : arrangement.ways)
    metal.conductors.push_back({{way.from.x_m, way.from.y_m, parts.trench_depth_m},
                                {way.to.x_m, way.to.y_m, parts.trench_depth_m},
                                radius_m});
  return metal;
}

}  // namespace ohmroot::design
