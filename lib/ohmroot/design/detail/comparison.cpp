// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/design/detail/comparison.hpp>
#include <ohmroot/design/detail/in_ground.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <random>
#include <utility>

namespace ohmroot::design::detail {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

double greatest_distance_m(const SitePlan& plan) {
  double greatest_m = 0.0;
  for (const PlanPoint& a : plan.land)
    for (const PlanPoint& b : plan.land)
      greatest_m = std::max(greatest_m, std::hypot(a.x_m - b.x_m, a.y_m - b.y_m));
  constexpr double rounding = 1e-9;
  return greatest_m * (1 + rounding);
}

/// What there is at least: a rod, a plate, a metre of tape, the steel.
Arrangement simplest(const Parts& parts) {
  if (const std::vector<int> all = pieces(parts); !all.empty())
    return {Kind::single_rod, {{0, 0}}, all.front(), {}, false};
  if (parts.may_lay_tape) return {Kind::tape, {}, 0, {{{0, 0}, {1, 0}}}, true};
  return {Kind::steel, {}, 0, {}, false, {}, true};
}

/// The hardest draw first, by the simplest electrode.
GroundDraws hardest_first(const GroundDraws& draws, const Parts& parts) {
  const Arrangement probe = simplest(parts);
  std::vector<double> ohm(draws.size());
  for_each_index(ohm.size(), [&](std::size_t i) { ohm[i] = worst_season_ohm(probe, parts, draws[i]); });
  std::vector<std::size_t> order(draws.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return ohm[a] > ohm[b]; });
  GroundDraws sorted;
  for (const std::size_t i : order)
    sorted.push_back(draws[i]);
  return sorted;
}

}  // namespace

Comparison::Comparison(const Question& question, const SearchOptions& options)
    : question_(question),
      evaluator_(question.parts,
                 hardest_first(thinned(question.draws, options.search_draw_count), question.parts),
                 question.goal.conductor_ohm, greatest_distance_m(question.plan)),
      aim_ohm_(question.goal.required_ohm) {
  const auto count = static_cast<double>(evaluator_.draws().size());
  constexpr double rounding = 1e-9;
  allowed_misses_ =
      static_cast<std::size_t>(std::floor((1 - question.goal.confidence_ratio) * count + rounding));
  for (const int section_count : pieces(question.parts))
    evaluator_.prepare(section_count, std::max(least_spacing_m(question.plan, question.parts, section_count) *
                                                   (1 - rounding),
                                               3 * question.parts.rod_diameter_m));
}

double Comparison::value_ohm(const std::vector<double>& ohm) const {
  return value_at_share(ohm, question_.goal.confidence_ratio);
}

std::vector<Design> Comparison::costed(const std::vector<Arrangement>& arrangements) const {
  std::vector<Design> designs(arrangements.size());
  for (std::size_t i = 0; i < designs.size(); ++i)
    designs[i] = {arrangements[i], cost_of(quantities_of(arrangements[i], question_.parts), question_.prices),
                  infinite};
  return designs;
}

std::vector<Design> Comparison::judged(const std::vector<Arrangement>& rods) const {
  std::vector<Design> designs = costed(rods);
  for_each_index(rods.size(),
                 [&](std::size_t i) { designs[i].value_ohm = value_ohm(evaluator_.pieces_ohm(rods[i])); });
  return designs;
}

bool Comparison::is_met(const Arrangement& rods) const {
  std::size_t misses = 0;
  for (std::size_t i = 0; i < evaluator_.draws().size(); ++i)
    if (evaluator_.pieces_ohm(rods, i) > aim_ohm_ && ++misses > allowed_misses_) return false;
  return true;
}

std::vector<Arrangement> Comparison::screened(const std::vector<Arrangement>& rods) const {
  std::vector<Design> designs = costed(rods);
  for_each_index(rods.size(), [&](std::size_t i) {
    designs[i].value_ohm = evaluator_.pieces_ohm(rods[i], allowed_misses_);
  });
  std::vector<std::size_t> order(rods.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return designs[a].cost < designs[b].cost; });
  constexpr double kept_ratio = 1.03;  // as good as anything cheaper in that one draw, or nearly so
  constexpr std::size_t most_kept = 3000;
  std::map<std::size_t, std::size_t> lowest;  // of each number of pieces
  for (const std::size_t i : order) {
    const auto [known, is_new] = lowest.try_emplace(rods[i].places.size(), i);
    if (!is_new && designs[i].value_ohm < designs[known->second].value_ohm) known->second = i;
  }
  std::vector<Arrangement> kept;
  double least_ohm = infinite;
  for (const std::size_t i : order) {
    if (designs[i].value_ohm > kept_ratio * least_ohm) continue;
    least_ohm = std::min(least_ohm, designs[i].value_ohm);
    kept.push_back(rods[i]);
  }
  kept = thinned(kept, most_kept);
  for (const auto& [count, i] : lowest)
    kept.push_back(rods[i]);
  return kept;
}

bool Comparison::is_taken(const Arrangement& group, std::size_t except, const PlanPoint& place) const {
  if (!may_stand(question_.plan, question_.parts, group.section_count, place)) return true;
  constexpr double rounding = 1e-9;
  const double least_m =
      least_spacing_m(question_.plan, question_.parts, group.section_count) * (1 - rounding);
  for (std::size_t i = 0; i < group.places.size(); ++i) {
    const double distance_m = std::hypot(group.places[i].x_m - place.x_m, group.places[i].y_m - place.y_m);
    if (distance_m < (i == except ? question_.plan.grid_step_m / 2 : least_m)) return true;
  }
  return false;
}

Arrangement Comparison::cheapened(Arrangement rods, const std::vector<PlanPoint>& places) const {
  constexpr std::size_t batch = 64;
  for (;;) {
    std::vector<Arrangement> moves;
    const auto try_places = [&](std::vector<PlanPoint> moved) {
      if (auto joined = joined_rods(question_.plan, moved.size() == 1 ? Kind::single_rod : Kind::rods_free,
                                    std::move(moved), rods.section_count, false))
        moves.push_back(std::move(*joined));
    };
    for (std::size_t i = 0; i < rods.places.size(); ++i) {
      for (const PlanPoint& place : places) {
        if (is_taken(rods, i, place)) continue;
        std::vector<PlanPoint> moved = rods.places;
        moved[i] = place;
        try_places(std::move(moved));
      }
      if (rods.places.size() == 1) continue;
      std::vector<PlanPoint> fewer = rods.places;
      fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
      try_places(std::move(fewer));
    }
    std::vector<Design> designs = costed(moves);
    std::stable_sort(designs.begin(), designs.end(),
                     [](const Design& a, const Design& b) { return a.cost < b.cost; });
    const double cost = cost_of(quantities_of(rods, question_.parts), question_.prices);
    constexpr double gain_ratio = 1e-9;  // sums in another order are no gain
    const auto cheaper = static_cast<std::size_t>(
        std::partition_point(designs.begin(), designs.end(),
                             [&](const Design& d) { return d.cost < cost * (1 - gain_ratio); }) -
        designs.begin());
    bool is_found = false;
    for (std::size_t from = 0; from < cheaper && !is_found; from += batch) {
      const std::size_t count = std::min(batch, cheaper - from);
      std::vector<char> met(count);
      for_each_index(count, [&](std::size_t i) { met[i] = is_met(designs[from + i].arrangement); });
      const auto first = std::find(met.begin(), met.end(), char{1});
      if (first == met.end()) continue;
      rods = designs[from + static_cast<std::size_t>(first - met.begin())].arrangement;
      is_found = true;
    }
    if (!is_found) return rods;
  }
}

Arrangement Comparison::rearranged(const Arrangement& rods, const std::vector<PlanPoint>& places,
                                   std::uint64_t seed) const {
  constexpr int step_count = 6000;
  constexpr double near_share = 0.7;  // of moves that stay within a few steps of the grid
  constexpr int most_attempts = 200;
  const double near_m = 2.5 * question_.plan.grid_step_m;
  constexpr double penalty_ratio =
      20.0;  // of the trench's cost, per unit by which the resistance is too high
  const Prices& prices = question_.prices;
  const double per_m = prices.trench_per_m + prices.conductor_per_m;  // unit: currency per metre
  const double trench_m = quantities_of(rods, question_.parts).trench_m;
  if (rods.places.size() < 2 || !(per_m * trench_m > 0.0)) return rods;

  std::mt19937_64 engine(seed);
  const auto share = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
  const auto distance_m = [](const PlanPoint& a, const PlanPoint& b) {
    return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m);
  };
  const auto below = [&](std::size_t count) { return static_cast<std::size_t>(engine() % count); };
  const auto cost_and_penalty = [&](const Arrangement& group) {
    const double cost = cost_of(quantities_of(group, question_.parts), prices);
    const double excess_ratio = evaluator_.pieces_ohm(group, allowed_misses_) / aim_ohm_ - 1.0;
    return std::pair(cost, std::max(0.0, excess_ratio) * penalty_ratio * per_m * trench_m);
  };
  Arrangement here = rods;
  Arrangement best = rods;
  auto [here_cost, here_penalty] = cost_and_penalty(here);
  double best_cost = here_cost;
  const double hot = per_m * question_.plan.grid_step_m;  // unit: currency
  const double cold_ratio = 0.01;
  for (int step = 0; step < step_count; ++step) {
    const double temperature = hot * std::pow(cold_ratio, static_cast<double>(step) / step_count);
    const std::size_t rod = below(here.places.size());
    const PlanPoint& from = here.places[rod];
    const bool stays_near = share() < near_share;
    const PlanPoint* place = &places[below(places.size())];
    for (int attempt = 0; stays_near && attempt < most_attempts && distance_m(*place, from) > near_m;
         ++attempt)
      place = &places[below(places.size())];
    if (is_taken(here, rod, *place)) continue;
    std::vector<PlanPoint> moved = here.places;
    moved[rod] = *place;
    const auto joined =
        joined_rods(question_.plan, Kind::rods_free, std::move(moved), rods.section_count, false);
    if (!joined) continue;
    const auto [cost, penalty] = cost_and_penalty(*joined);
    const double rise = cost + penalty - here_cost - here_penalty;
    if (rise > 0.0 && share() >= std::exp(-rise / temperature)) continue;
    here = *joined;
    here_cost = cost;
    here_penalty = penalty;
    if (penalty == 0.0 && cost < best_cost && is_met(here)) {
      best = here;
      best_cost = cost;
    }
  }
  return best;
}

std::vector<Arrangement> Comparison::grown(int section_count, const std::vector<PlanPoint>& places) const {
  std::vector<Arrangement> path;
  Arrangement group{Kind::single_rod, {}, section_count, {}, false};
  std::vector<PlanPoint>& rods = group.places;
  while (std::ssize(rods) < greatest_count(question_.parts, section_count)) {
    const Kind kind = rods.empty() ? Kind::single_rod : Kind::rods_free;
    std::vector<double> ohm(places.size(), infinite);
    for_each_index(places.size(), [&](std::size_t i) {
      if (is_taken(group, rods.size(), places[i])) return;
      std::vector<PlanPoint> more = rods;
      more.push_back(places[i]);
      const auto joined = joined_rods(question_.plan, kind, std::move(more), section_count, false);
      if (joined) ohm[i] = evaluator_.pieces_ohm(*joined, allowed_misses_);
    });
    const auto least = std::min_element(ohm.begin(), ohm.end());
    if (!std::isfinite(*least)) return path;
    rods.push_back(places[static_cast<std::size_t>(least - ohm.begin())]);
    path.push_back(*joined_rods(question_.plan, kind, rods, section_count, false));
  }
  return path;
}

bool Comparison::is_surely_above(const Arrangement& arrangement, double value_ohm) {
  // One draw more than may be missed, of the hardest, decides most arrangements that will not do.
  const std::vector<double> bounds_ohm = evaluator_.sum_bound_ohm(arrangement, allowed_misses_ + 1);
  return std::all_of(bounds_ohm.begin(), bounds_ohm.end(), [&](double ohm) { return ohm > value_ohm; });
}

Comparison::MixedValue Comparison::mixed_value(const Arrangement& arrangement) {
  if (is_surely_above(arrangement, aim_ohm_)) return {infinite, false};
  const GroundDraws& draws = evaluator_.draws();
  std::vector<char> is_missed(allowed_misses_ + 1);
  for_each_index(is_missed.size(), [&](std::size_t i) {
    is_missed[i] =
        worst_season_ohm(arrangement, question_.parts, draws[i]) + question_.goal.conductor_ohm > aim_ohm_;
  });
  if (std::count(is_missed.begin(), is_missed.end(), char{1}) > static_cast<std::ptrdiff_t>(allowed_misses_))
    return {infinite, true};
  const double solved_ohm = solved_value_ohm(arrangement);
  return {solved_ohm <= aim_ohm_ ? solved_ohm : infinite, true};
}

double Comparison::solved_value_ohm(const Arrangement& arrangement) const {
  return value_ohm(evaluator_.solved_ohm(arrangement));
}

}  // namespace ohmroot::design::detail
