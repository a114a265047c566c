// SPDX-License-Identifier: MIT
#include <ohmroot/design/detail/families.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace ohmroot::design::detail {
namespace {

using Cell = std::pair<long, long>;

struct Grid {
  std::map<Cell, PlanPoint> cells;
};

Grid grid_of(const SitePlan& plan, const std::vector<PlanPoint>& places) {
  Grid grid;
  for (const PlanPoint& place : places)
    grid.cells[{std::lround(place.x_m / plan.grid_step_m), std::lround(place.y_m / plan.grid_step_m)}] =
        place;
  return grid;
}

/// Nearer ones stand at one place of the grid.
bool are_apart(const std::vector<PlanPoint>& rods, double least_m) {
  constexpr double rounding = 1e-9;
  for (std::size_t i = 0; i < rods.size(); ++i)
    for (std::size_t k = i + 1; k < rods.size(); ++k)
      if (std::hypot(rods[k].x_m - rods[i].x_m, rods[k].y_m - rods[i].y_m) < least_m * (1 - rounding))
        return false;
  return true;
}

/// Of any kind of piece in one group.
int most_pieces(const Parts& parts) {
  int most = 0;
  for (const int section_count : pieces(parts))
    most = std::max(most, greatest_count(parts, section_count));
  return most;
}

/// One arrangement for each kind of piece that may stand so.
void add(std::vector<Arrangement>& all, const SitePlan& plan, const Parts& parts, Kind kind,
         const std::vector<PlanPoint>& places) {
  // The tree of ways does not depend on what stands at its ends.
  auto joined = joined_rods(plan, places.size() == 1 ? Kind::single_rod : kind, places, 1, false);
  if (!joined) return;
  const Kind rods_kind = joined->kind;
  for (const int section_count : pieces(parts)) {
    if (std::ssize(places) > greatest_count(parts, section_count)) continue;
    if (!are_apart(places, least_spacing_m(plan, parts, section_count))) continue;
    if (!std::all_of(places.begin(), places.end(),
                     [&](const PlanPoint& place) { return may_stand(plan, parts, section_count, place); }))
      continue;
    joined->section_count = section_count;
    joined->kind = section_count > 0 ? rods_kind : Kind::plates;
    all.push_back(*joined);
  }
}

/// Each step the same as the first: places come by rows, so that a line is in order.
bool are_in_line(const std::vector<PlanPoint>& rods) {
  constexpr double rounding_m = 1e-9;
  for (std::size_t i = 2; i < rods.size(); ++i) {
    const double x_m = rods[i].x_m - rods[i - 1].x_m - (rods[1].x_m - rods[0].x_m);
    const double y_m = rods[i].y_m - rods[i - 1].y_m - (rods[1].y_m - rods[0].y_m);
    if (std::hypot(x_m, y_m) > rounding_m) return false;
  }
  return true;
}

void add_lines(std::vector<Arrangement>& all, const SitePlan& plan, const Parts& parts, const Grid& grid) {
  constexpr long longest_step = 12;
  for (const auto& [start, first] : grid.cells) {
    for (const Cell& direction : {Cell{1, 0}, Cell{0, 1}, Cell{1, 1}, Cell{1, -1}}) {
      for (long step = 1; step <= longest_step; ++step) {
        std::vector<PlanPoint> rods{first};
        for (int k = 1; k < most_pieces(parts); ++k) {
          const auto next = grid.cells.find(
              {start.first + k * step * direction.first, start.second + k * step * direction.second});
          if (next == grid.cells.end()) break;
          rods.push_back(next->second);
          add(all, plan, parts, Kind::rods_in_line, rods);
        }
      }
    }
  }
}

void add_grids(std::vector<Arrangement>& all, const SitePlan& plan, const Parts& parts, const Grid& grid) {
  constexpr long longest_step = 12;
  const int most = most_pieces(parts);
  for (const auto& [start, first] : grid.cells) {
    for (long step = 1; step <= longest_step; ++step) {
      for (long columns = 2; 2 * columns <= most; ++columns) {
        for (long rows = 2; rows * columns <= most; ++rows) {
          std::vector<PlanPoint> rods;
          for (long k = 0; k < rows * columns; ++k) {
            const auto next =
                grid.cells.find({start.first + (k % columns) * step, start.second + (k / columns) * step});
            if (next != grid.cells.end()) rods.push_back(next->second);
          }
          if (std::ssize(rods) == rows * columns) add(all, plan, parts, Kind::rods_in_grid, rods);
        }
      }
    }
  }
}

void add_boundary(std::vector<Arrangement>& all, const SitePlan& plan, const Parts& parts) {
  const auto loop = boundary_loop(plan);
  if (!loop) return;
  const double round_m = perimeter_m(*loop);
  for (int count = 2; count <= most_pieces(parts); ++count) {
    std::vector<PlanPoint> rods;
    double walked_m = 0.0;
    for (std::size_t i = 0; i < loop->size(); ++i) {
      const PlanPoint& a = (*loop)[i];
      const PlanPoint& b = (*loop)[(i + 1) % loop->size()];
      const double side_m = std::hypot(b.x_m - a.x_m, b.y_m - a.y_m);
      while (std::ssize(rods) < count &&
             round_m * static_cast<double>(rods.size()) / count < walked_m + side_m) {
        const double part = (round_m * static_cast<double>(rods.size()) / count - walked_m) / side_m;
        rods.push_back({a.x_m + part * (b.x_m - a.x_m), a.y_m + part * (b.y_m - a.y_m)});
      }
      walked_m += side_m;
    }
    add(all, plan, parts, Kind::rods_along_boundary, rods);
  }
}

/// A piece of the line along the boundary, no longer than a step of the grid.
struct BoundaryStep {
  PlanLine way;
  std::size_t side;
  bool is_free;
};

std::vector<BoundaryStep> boundary_steps(const SitePlan& plan, const Polygon& line) {
  std::vector<BoundaryStep> steps;
  for (std::size_t side = 0; side < line.size(); ++side) {
    const PlanPoint& a = line[side];
    const PlanPoint& b = line[(side + 1) % line.size()];
    const int count =
        static_cast<int>(std::ceil(std::hypot(b.x_m - a.x_m, b.y_m - a.y_m) / plan.grid_step_m));
    const auto at = [&](int k) {
      const double part = static_cast<double>(k) / count;
      return PlanPoint{std::lerp(a.x_m, b.x_m, part), std::lerp(a.y_m, b.y_m, part)};
    };
    for (int k = 0; k < count; ++k) {
      const PlanLine way{at(k), at(k + 1)};
      steps.push_back({way, side, is_free(plan, way)});
    }
  }
  return steps;
}

/// Tape over the first side of a stretch, then over one more each time; on one side it is one conductor.
void add_stretch(std::vector<Arrangement>& all, const SitePlan& plan,
                 const std::vector<BoundaryStep>& stretch) {
  std::vector<PlanLine> ways;
  for (std::size_t i = 0; i < stretch.size(); ++i) {
    if (i > 0 && stretch[i].side == stretch[i - 1].side)
      ways.back().to = stretch[i].way.to;
    else
      ways.push_back(stretch[i].way);
    if (i + 1 == stretch.size() || stretch[i + 1].side != stretch[i].side)
      all.push_back(laid_tape(plan, Kind::ring, ways));
  }
}

/// Tape along the boundary, side by side from either end of each stretch that no keep-out bars.
void add_boundary_tapes(std::vector<Arrangement>& all, const SitePlan& plan) {
  const auto line = boundary_line(plan);
  if (!line) return;
  std::vector<BoundaryStep> steps = boundary_steps(plan, *line);
  const auto is_barred = [](const BoundaryStep& step) { return !step.is_free; };
  const auto barred = std::find_if(steps.begin(), steps.end(), is_barred);
  if (barred == steps.end())  // the whole loop is an arrangement of its own
    std::erase_if(steps, [&](const BoundaryStep& step) { return step.side + 1 == line->size(); });
  else
    std::rotate(steps.begin(), barred, steps.end());  // no stretch lies across the end
  for (auto from = steps.begin(); from != steps.end();) {
    from = std::find_if_not(from, steps.end(), is_barred);
    const auto to = std::find_if(from, steps.end(), is_barred);
    std::vector<BoundaryStep> stretch(from, to);
    add_stretch(all, plan, stretch);
    std::reverse(stretch.begin(), stretch.end());
    for (BoundaryStep& step : stretch)
      std::swap(step.way.from, step.way.to);
    add_stretch(all, plan, stretch);
    from = to;
  }
}

}  // namespace

std::optional<std::vector<Arrangement>> every_group(const SitePlan& plan, const Parts& parts,
                                                    const std::vector<PlanPoint>& places,
                                                    std::size_t most_arrangements) {
  const std::vector<int> sections = pieces(parts);
  const auto most_rods = std::min(static_cast<std::size_t>(most_pieces(parts)), places.size());
  double group_count = 0.0, of_size = 1.0;
  for (std::size_t n = 1; n <= most_rods; ++n) {
    of_size *= static_cast<double>(places.size() - n + 1) / static_cast<double>(n);
    group_count += of_size;
  }
  if (group_count * static_cast<double>(sections.size()) > static_cast<double>(most_arrangements))
    return std::nullopt;
  std::vector<Arrangement> all;
  for (std::size_t n = 1; n <= most_rods; ++n) {
    std::vector<bool> is_taken(places.size(), false);
    std::fill(is_taken.begin(), is_taken.begin() + static_cast<std::ptrdiff_t>(n), true);
    do {
      std::vector<PlanPoint> rods;
      for (std::size_t i = 0; i < places.size(); ++i)
        if (is_taken[i]) rods.push_back(places[i]);
      add(all, plan, parts, are_in_line(rods) ? Kind::rods_in_line : Kind::rods_free, rods);
    } while (std::prev_permutation(is_taken.begin(), is_taken.end()));
  }
  return all;
}

std::vector<Arrangement> regular_groups(const SitePlan& plan, const Parts& parts,
                                        const std::vector<PlanPoint>& places) {
  const Grid grid = grid_of(plan, places);
  std::vector<Arrangement> all;
  for (const PlanPoint& place : places)
    add(all, plan, parts, Kind::single_rod, {place});
  add_lines(all, plan, parts, grid);
  add_grids(all, plan, parts, grid);
  add_boundary(all, plan, parts);
  return all;
}

std::vector<Arrangement> tapes(const SitePlan& plan, const Parts& parts,
                               const std::vector<PlanPoint>& places) {
  constexpr std::size_t most_places = 100;
  std::vector<PlanPoint> ends;
  for (std::size_t i = 0; i < std::min(most_places, places.size()); ++i)
    ends.push_back(places[i * places.size() / std::min(most_places, places.size())]);
  std::vector<Arrangement> all;
  for (std::size_t i = 0; i < ends.size(); ++i)
    for (std::size_t j = i + 1; j < ends.size(); ++j)
      if (is_free(plan, {ends[i], ends[j]})) all.push_back(laid_tape(plan, Kind::tape, {{ends[i], ends[j]}}));
  add_boundary_tapes(all, plan);
  if (const auto loop = boundary_loop(plan)) {
    std::vector<PlanLine> ways;
    for (std::size_t i = 0; i < loop->size(); ++i)
      ways.push_back({(*loop)[i], (*loop)[(i + 1) % loop->size()]});
    all.push_back(laid_tape(plan, Kind::ring, std::move(ways)));
    std::vector<Arrangement> with_rods;
    add_boundary(with_rods, plan, parts);
    std::erase_if(with_rods, [](const Arrangement& arrangement) { return !has_rods(arrangement); });
    for (Arrangement& arrangement : with_rods) {
      arrangement.ways = all.back().ways;
      arrangement.kind = Kind::ring;
      arrangement.is_tape = true;
    }
    all.insert(all.end(), with_rods.begin(), with_rods.end());
  }
  return all;
}

}  // namespace ohmroot::design::detail
