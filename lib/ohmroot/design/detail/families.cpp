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
