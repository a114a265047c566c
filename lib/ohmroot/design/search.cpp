// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/design/detail/chosen.hpp>
#include <ohmroot/design/detail/comparison.hpp>
#include <ohmroot/design/detail/families.hpp>
#include <ohmroot/design/detail/sensitivity.hpp>
#include <ohmroot/design/search.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>
#include <utility>

namespace ohmroot::design {
namespace {

using detail::Chosen;
using detail::Comparison;
using detail::tested_first;
using KindKey = std::tuple<Kind, bool, bool>;  // the same with bare tape, or with the steel, is another kind

KindKey kind_of(const Arrangement& arrangement) {
  return {arrangement.kind, arrangement.is_tape, arrangement.joins_steel};
}

void sort_by_cost(std::vector<Design>& designs) {
  std::stable_sort(designs.begin(), designs.end(),
                   [](const Design& a, const Design& b) { return a.cost < b.cost; });
}

/// Rods or plates without tape or steel, with their values; and what was tried, in words.
struct Rods {
  std::vector<Design> designs;
  std::size_t arrangement_count = 0;
  bool is_enumerated = false;
};

/// Moves of one rod at a time end in a group that only a detour through dearer ones leaves. Groups that even the shortest
/// trench would leave dearer than the cheapest are not worth one.
std::vector<Arrangement> with_detours(const Question& question, const Comparison& comparison,
                                      const std::vector<PlanPoint>& places,
                                      const std::vector<Arrangement>& groups) {
  constexpr std::size_t detours = 2;  // of each group
  const std::vector<Design> costed = comparison.costed(groups);
  double least_cost = std::numeric_limits<double>::infinity();
  for (const Design& design : costed)
    least_cost = std::min(least_cost, design.cost);
  std::vector<Arrangement> worth;
  for (const Design& design : costed) {
    Quantities shortest = quantities_of(design.arrangement, question.parts);
    shortest.trench_m = shortest.conductor_m =
        static_cast<double>(design.arrangement.places.size() - 1) * question.plan.grid_step_m;
    if (cost_of(shortest, question.prices) < least_cost) worth.push_back(design.arrangement);
  }
  std::vector<Arrangement> rearranged(detours * worth.size());
  for_each_index(rearranged.size(), [&](std::size_t i) {
    rearranged[i] = comparison.rearranged(worth[i / detours], places, i);
  });
  for (Arrangement& group : rearranged)
    group = comparison.cheapened(std::move(group), places);
  return rearranged;
}

Rods judged_rods(const Question& question, const SearchOptions& options, const Comparison& comparison,
                 const std::vector<PlanPoint>& places) {
  if (const auto all = detail::every_group(question.plan, question.parts, places, options.most_enumerated))
    return {comparison.judged(*all), all->size(), true};
  const std::vector<Arrangement> regular = detail::regular_groups(question.plan, question.parts, places);
  Rods rods{comparison.judged(comparison.screened(regular)), regular.size(), false};
  std::vector<Arrangement> grown;
  for (const int section_count : pieces(question.parts))
    for (Arrangement& stage : comparison.grown(section_count, places))
      grown.push_back(std::move(stage));
  const std::vector<Design> stages = comparison.judged(grown);
  rods.designs.insert(rods.designs.end(), stages.begin(), stages.end());
  // One start is soon stuck: from the cheapest and the lowest that do, of each length and number of rods.
  std::map<std::pair<int, std::size_t>, std::pair<const Design*, const Design*>> ends;
  for (const Design& design : rods.designs) {
    if (!(design.value_ohm <= comparison.aim_ohm())) continue;
    auto& [cheapest, lowest] = ends[{design.arrangement.section_count, design.arrangement.places.size()}];
    if (cheapest == nullptr || design.cost < cheapest->cost) cheapest = &design;
    if (lowest == nullptr || design.value_ohm < lowest->value_ohm) lowest = &design;
  }
  std::vector<Arrangement> starts;
  for (const auto& [size, pair] : ends) {
    starts.push_back(pair.first->arrangement);
    if (pair.second != pair.first) starts.push_back(pair.second->arrangement);
  }
  for (Arrangement& start : starts)
    start = comparison.cheapened(std::move(start), places);
  std::vector<Arrangement> improved = with_detours(question, comparison, places, starts);
  improved.insert(improved.end(), starts.begin(), starts.end());
  const std::vector<Design> judged = comparison.judged(improved);
  rods.designs.insert(rods.designs.end(), judged.begin(), judged.end());
  rods.arrangement_count += stages.size() + judged.size();
  return rods;
}

/// What holds bare tape or existing steel, cheapest first: of each kind up to the first that meets the goal.
struct Mixed {
  std::vector<Design> met;
  std::size_t solved_count = 0;
  std::size_t arrangement_count = 0;
  bool is_cut = false;
};

/// A rod shorter than the trench is deep would not meet the tape.
bool may_be_taped(const Arrangement& arrangement, const Parts& parts) {
  return has_rods(arrangement) && !arrangement.ways.empty() &&
         arrangement.section_count * parts.rod_section_m > parts.trench_depth_m;
}

bool can_be_solved(const Arrangement& arrangement, const Parts& parts) {
  try {
    electrode::require_valid(std::vector<electrode::Electrode>{metal_of(arrangement, parts)});
  } catch (const DomainError&) {
    return false;
  }
  return true;
}

std::vector<Arrangement> mixed(const Question& question, const std::vector<PlanPoint>& places,
                               const std::vector<Design>& pieces_alone) {
  std::vector<Arrangement> arrangements;
  if (question.parts.may_lay_tape) {
    arrangements = detail::tapes(question.plan, question.parts, places);
    for (const Design& design : pieces_alone) {
      if (!may_be_taped(design.arrangement, question.parts)) continue;
      arrangements.push_back(design.arrangement);
      arrangements.back().is_tape = true;
    }
  }
  if (!question.parts.steel) return arrangements;
  const std::size_t taped_count = arrangements.size();
  for (const Design& design : pieces_alone)
    arrangements.push_back(design.arrangement);
  for (std::size_t i = 0; i < taped_count; ++i)
    arrangements.push_back(Arrangement(arrangements[i]));
  for (std::size_t i = taped_count; i < arrangements.size(); ++i)
    arrangements[i].joins_steel = true;
  arrangements.push_back({Kind::steel, {}, 0, {}, false, {}, true});
  // Metal that would lie along a bar of the steel has no solution.
  std::erase_if(arrangements, [&](const Arrangement& arrangement) {
    return arrangement.joins_steel && !can_be_solved(arrangement, question.parts);
  });
  return arrangements;
}

Mixed judged_mixed(const Question& question, const SearchOptions& options, Comparison& comparison,
                   const std::vector<PlanPoint>& places, const std::vector<Design>& pieces_alone) {
  Mixed result;
  const std::vector<Arrangement> arrangements = mixed(question, places, pieces_alone);
  result.arrangement_count = arrangements.size();
  std::vector<Design> designs = comparison.costed(arrangements);
  sort_by_cost(designs);
  std::map<KindKey, std::size_t> tried;
  std::map<KindKey, bool> is_done;
  for (Design& design : designs) {
    const KindKey kind = kind_of(design.arrangement);
    if (is_done[kind]) continue;
    if (tried[kind] >= options.most_tape_solved) {
      result.is_cut = true;
      continue;
    }
    const auto [value_ohm, was_solved] = comparison.mixed_value(design.arrangement);
    tried[kind] += was_solved ? 1 : 0;
    result.solved_count += was_solved ? 1 : 0;
    if (!(value_ohm <= comparison.aim_ohm())) continue;
    design.value_ohm = value_ohm;
    result.met.push_back(design);
    is_done[kind] = true;
  }
  return result;
}

const Design* lowest_of(const std::vector<Design>& designs) {
  const auto lowest = std::min_element(designs.begin(), designs.end(), [](const Design& a, const Design& b) {
    return a.value_ohm < b.value_ohm;
  });
  return lowest == designs.end() ? nullptr : &*lowest;
}

/// The largest electrodes, so that the lowest resistance found is known even where nothing meets the goal.
std::vector<Design> largest(const Question& question, Comparison& comparison,
                            const std::vector<PlanPoint>& places, const std::vector<Design>& rods) {
  std::vector<Arrangement> arrangements;
  const Design* lowest = lowest_of(rods);
  if (question.parts.may_lay_tape) {
    const std::vector<Arrangement> tapes = detail::tapes(question.plan, question.parts, places);
    const auto longest =
        std::max_element(tapes.begin(), tapes.end(), [&](const Arrangement& a, const Arrangement& b) {
          return quantities_of(a, question.parts).tape_m < quantities_of(b, question.parts).tape_m;
        });
    if (longest != tapes.end()) arrangements.push_back(*longest);
    if (!tapes.empty() && tapes.back().kind == Kind::ring) arrangements.push_back(tapes.back());
    if (lowest != nullptr && may_be_taped(lowest->arrangement, question.parts)) {
      arrangements.push_back(lowest->arrangement);
      arrangements.back().is_tape = true;
    }
  }
  if (question.parts.steel) {
    const std::size_t bare_count = arrangements.size();
    if (lowest != nullptr) arrangements.push_back(lowest->arrangement);
    for (std::size_t i = 0; i < bare_count; ++i)
      arrangements.push_back(Arrangement(arrangements[i]));
    for (std::size_t i = bare_count; i < arrangements.size(); ++i)
      arrangements[i].joins_steel = true;
    arrangements.insert(arrangements.begin(), {Kind::steel, {}, 0, {}, false, {}, true});
  }
  // The richest come last; what is surely above them is not solved.
  std::vector<Design> designs;
  double lowest_ohm = lowest != nullptr ? lowest->value_ohm : std::numeric_limits<double>::infinity();
  std::vector<Design> costed = comparison.costed(arrangements);
  for (auto design = costed.rbegin(); design != costed.rend(); ++design) {
    if (design->arrangement.joins_steel && !can_be_solved(design->arrangement, question.parts)) continue;
    if (comparison.is_surely_above(design->arrangement, lowest_ohm)) continue;
    design->value_ohm = comparison.solved_value_ohm(design->arrangement);
    lowest_ohm = std::min(lowest_ohm, design->value_ohm);
    designs.push_back(std::move(*design));
  }
  return designs;
}

std::vector<Design> front_of(std::vector<Design> designs) {
  sort_by_cost(designs);
  std::vector<Design> front;
  for (const Design& design : designs) {
    if (!front.empty() && design.value_ohm >= front.back().value_ohm) continue;
    if (!front.empty() && design.cost <= front.back().cost) front.pop_back();
    front.push_back(design);
  }
  return front;
}

std::vector<Design> lowest_by_rod_count(const std::vector<Design>& rods) {
  std::map<std::size_t, Design> lowest;
  for (const Design& design : rods) {
    if (!has_rods(design.arrangement)) continue;
    const auto [place, is_new] = lowest.try_emplace(design.arrangement.places.size(), design);
    if (!is_new && design.value_ohm < place->second.value_ohm) place->second = design;
  }
  std::vector<Design> result;
  for (auto& [count, design] : lowest)
    result.push_back(std::move(design));
  return result;
}

/// The aim at which what has the value under the compared draws would just pass its check; the conductor's share is the
/// same everywhere.
double aim_by(const Goal& goal, double value_ohm, double provable_by_all_ohm) {
  if (!std::isfinite(provable_by_all_ohm)) return goal.required_ohm;
  const double ratio = (value_ohm - goal.conductor_ohm) / (provable_by_all_ohm - goal.conductor_ohm);
  return goal.conductor_ohm + (goal.required_ohm - goal.conductor_ohm) * ratio;
}

/// By the longest rod: the draws compared by are harder or easier for it than all of them. Plates and steel take too long
/// for a first guess.
double first_aim_ohm(const Question& question, const SearchOptions& options) {
  const Goal& goal = question.goal;
  const std::vector<int> lengths = section_counts(question.parts);
  if (question.draws.size() <= options.search_draw_count || lengths.empty()) return goal.required_ohm;
  const Check check = check_of(question, {Kind::single_rod, {{0, 0}}, lengths.back(), {}, false});
  return aim_by(
      goal, value_at_share(thinned(check.worst_season_ohm, options.search_draw_count), goal.confidence_ratio),
      check.provable_ohm);
}

/// What one search brings together, cheapest first.
struct Found {
  Rods rods;
  Mixed mixed;
  std::vector<Design> all;
};

Found found_by(const Question& question, const SearchOptions& options, Comparison& comparison,
               const std::vector<PlanPoint>& places) {
  Found found;
  found.rods = judged_rods(question, options, comparison, places);
  found.mixed = judged_mixed(question, options, comparison, places, found.rods.designs);
  found.all = found.rods.designs;
  found.all.insert(found.all.end(), found.mixed.met.begin(), found.mixed.met.end());
  const std::vector<Design> big = largest(question, comparison, places, found.rods.designs);
  found.all.insert(found.all.end(), big.begin(), big.end());
  sort_by_cost(found.all);
  return found;
}

std::string how_of(const Question& question, const SearchOptions& options, const Found& found,
                   std::size_t place_count) {
  const char* pieces_name = question.parts.plates ? "rods or plates" : "rods";
  std::string how = fmt::format(
      "{} on {} places, compared under {} draws of the ground; {} arrangements with bare tape{} costed, {} "
      "solved{}",
      found.rods.is_enumerated
          ? fmt::format("all {} groups of {}", found.rods.arrangement_count, pieces_name)
          : fmt::format("{} groups of {}, regular and grown, the best of them improved one by one "
                        "and by annealing",
                        found.rods.arrangement_count, pieces_name),
      place_count, std::min(question.draws.size(), options.search_draw_count), found.mixed.arrangement_count,
      question.parts.steel ? " or existing steel" : "", found.mixed.solved_count,
      found.mixed.is_cut ? ", the rest of a kind cut short" : "");
  if (question.parts.steel)
    how += "; with the steel, rods are tried where the groups without it put them, not elsewhere";
  return how;
}

}  // namespace

SearchResult find_cheapest(const Question& question, const SearchOptions& options) {
  const std::vector<PlanPoint> places = free_places(question.plan);
  require_valid(question, places);
  Comparison comparison(question, options);
  comparison.aim_at(first_aim_ohm(question, options));
  constexpr int most_aims = 4;
  Found found;
  Chosen chosen;
  for (int tried = 1; tried <= most_aims; ++tried) {
    found = found_by(question, options, comparison, places);
    const std::size_t most_checked = tried < most_aims ? 1 : options.most_checked;
    chosen = tested_first(found.all, question, options, comparison, {comparison.aim_ohm(), most_checked});
    if (chosen.best || !chosen.failed) break;
    const double aim_ohm = aim_by(question.goal, chosen.failed->value_ohm, chosen.check->provable_ohm);
    if (tried == most_aims || !(aim_ohm < comparison.aim_ohm())) break;
    comparison.aim_at(aim_ohm);
  }

  SearchResult result;
  if (const Design* lowest = lowest_of(found.all)) result.lowest = *lowest;
  constexpr double worth_a_check_ratio = 1.1;
  const double no_aim_ohm = std::numeric_limits<double>::infinity();
  if (!chosen.best && result.lowest &&
      result.lowest->value_ohm <= worth_a_check_ratio * question.goal.required_ohm) {
    Chosen last = tested_first({*result.lowest}, question, options, comparison, {no_aim_ohm, 1});
    if (last.best) chosen = std::move(last);
  }
  result.arrangement_count = found.rods.arrangement_count + found.mixed.arrangement_count;
  result.is_enumerated = found.rods.is_enumerated;
  result.untestable_count = chosen.untestable_count;
  result.best = std::move(chosen.best);
  result.check = std::move(chosen.check);
  std::map<KindKey, bool> is_named;
  if (result.best) is_named[kind_of(result.best->arrangement)] = true;
  for (const Design& design : found.all) {
    if (!(design.value_ohm <= comparison.aim_ohm()) || is_named[kind_of(design.arrangement)]) continue;
    is_named[kind_of(design.arrangement)] = true;
    result.others.push_back(design);
  }
  result.front = front_of(found.all);
  result.by_rod_count = lowest_by_rod_count(found.rods.designs);
  result.sensitivities = detail::sensitivities(question, found.all, comparison.aim_ohm());
  result.how = how_of(question, options, found, places.size());
  if (comparison.aim_ohm() != question.goal.required_ohm)
    result.how +=
        fmt::format("; under those draws {} was aimed at, so that the check under all {} is passed",
                    format_quantity(comparison.aim_ohm(), Dimension::resistance), question.draws.size());
  if (result.untestable_count > 0)
    result.how +=
        fmt::format("; {} cheaper ones cannot be proved by a test on this land", result.untestable_count);
  return result;
}

}  // namespace ohmroot::design
