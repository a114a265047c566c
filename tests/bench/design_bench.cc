// SPDX-License-Identifier: MIT
// How fast arrangements are compared, on all processors that the library takes, by the clock on the wall. Read the ratio
// within one run. Usage: ohmroot_design_bench [ARRANGEMENTS]   (default: 100000)
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/design/detail/comparison.hpp>
#include <ohmroot/design/search.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <random>

namespace {

using namespace ohmroot;
using namespace ohmroot::design;

template <typename Work>
double seconds(Work work) {
  const auto from = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count();
}

class Numbers {
public:
  double between(double least, double greatest) {
    return least + (greatest - least) * static_cast<double>(engine_() >> 11) * 0x1p-53;
  }
  std::size_t below(std::size_t count) { return static_cast<std::size_t>(engine_() % count); }

private:
  std::mt19937_64 engine_{20261127};
};

/// An L of 20 m by 14 m with a house in it, three layers that nobody knows better than a factor 1.5; invented.
Question l_shaped_site(Numbers& numbers) {
  Question question;
  question.plan.land = {{0, 0}, {20, 0}, {20, 8}, {9, 8}, {9, 14}, {0, 14}};
  question.plan.keep_outs = {{"house", {{5, 4}, {8, 4}, {8, 7}, {5, 7}}, 0.3}};
  question.plan.depth_m = 5;
  question.plan.grid_step_m = 1;
  question.parts = {1.2, 0.016, 4.8, 10, 0.5, 0.025, true};
  question.prices = {"units", 18, 3, 12, 9, 15, 4, 3, 0, 120};
  for (int i = 0; i < 2000; ++i) {
    const auto factor = [&] { return std::exp(numbers.between(-0.4, 0.4)); };
    question.draws.push_back(
        {earth::LayeredSoil(
             {{120 * factor(), 0.9 * factor()}, {45 * factor(), 3.0 * factor()}, {200 * factor(), 0.0}}),
         numbers.between(1.1, 1.4), 1.0});
  }
  question.goal = {9.0, 0.95, 0.05};
  return question;
}

std::vector<Arrangement> random_groups(const Question& question, Numbers& numbers, std::size_t count) {
  const std::vector<PlanPoint> places = free_places(question.plan);
  const std::vector<int> sections = section_counts(question.parts);
  std::vector<Arrangement> groups;
  while (groups.size() < count) {
    std::vector<PlanPoint> shuffled = places;
    const std::size_t rod_count = 1 + numbers.below(10);
    for (std::size_t k = 0; k < rod_count; ++k)
      std::swap(shuffled[k], shuffled[k + numbers.below(shuffled.size() - k)]);
    shuffled.resize(rod_count);
    if (auto joined = joined_rods(question.plan, rod_count == 1 ? Kind::single_rod : Kind::rods_free,
                                  shuffled, sections[numbers.below(sections.size())], false))
      groups.push_back(std::move(*joined));
  }
  return groups;
}

void row(const char* what, double time_s, const std::string& remark = {}) {
  fmt::print("{:<66}{:>10.2f} s  {}\n", what, time_s, remark);
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t group_count = argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 100000;
  Numbers numbers;
  const Question question = l_shaped_site(numbers);
  std::vector<Arrangement> groups;
  const double joining_s = seconds([&] { groups = random_groups(question, numbers, group_count); });
  std::optional<detail::Comparison> comparison;
  const double tables_s = seconds([&] { comparison.emplace(question, SearchOptions{}); });
  std::vector<Design> designs;
  const double judging_s = seconds([&] { designs = comparison->judged(groups); });
  std::stable_sort(designs.begin(), designs.end(),
                   [](const Design& a, const Design& b) { return a.cost < b.cost; });
  std::vector<Design> returned;
  for (const Design& design : designs)
    if (returned.size() < 8 && design.value_ohm <= question.goal.required_ohm) returned.push_back(design);
  double greatest_off_ratio = 0.0;
  const double solving_s = seconds([&] {
    for (const Design& design : returned) {
      const double solved_ohm = comparison->solved_value_ohm(design.arrangement);
      greatest_off_ratio = std::max(greatest_off_ratio, std::abs(design.value_ohm / solved_ohm - 1));
    }
  });
  const double whole_s = joining_s + tables_s + judging_s + solving_s;
  constexpr std::size_t sample_count = 20;
  const double sample_s = seconds([&] {
    for (std::size_t i = 0; i < sample_count; ++i)
      (void)comparison->solved_value_ohm(groups[i * groups.size() / sample_count]);
  });
  const double in_full_s = sample_s / sample_count * static_cast<double>(group_count);
  const double check_s =
      returned.empty() ? 0.0 : seconds([&] { (void)check_of(question, returned.front().arrangement); });
  std::vector<Arrangement> taped;
  for (const Design& design : returned) {
    if (design.arrangement.ways.empty()) continue;
    taped.push_back(design.arrangement);
    taped.back().is_tape = true;
  }
  const double tape_s = seconds([&] {
    for (const Arrangement& arrangement : taped)
      (void)comparison->solved_value_ohm(arrangement);
  });
  SearchResult found;
  const double search_s = seconds([&] { found = find_cheapest(question); });

  fmt::print("{} groups of 1 to 10 equal rods on {} places, four lengths, 200 draws of three layers\n",
             group_count, free_places(question.plan).size());
  row("joining the rods of each group by the shortest trench", joining_s);
  row("coupling tables, 4 lengths in 200 soils", tables_s);
  row("each group in each of the 200 soils", judging_s,
      fmt::format("{:.2f} us a group and soil",
                  1e6 * judging_s / (200.0 * static_cast<double>(group_count))));
  row("the designs returned solved in full in the 200 soils", solving_s,
      fmt::format("{} designs; table off by {:.2g} % at most", returned.size(), 100 * greatest_off_ratio));
  row("all of that", whole_s, "target 30 s for 100,000 on two cores");
  row("each group solved in full instead (from 20 of them)", in_full_s,
      fmt::format("{:.0f} times as long", in_full_s / whole_s));
  row("besides: check of the cheapest on 2,000 draws", check_s);
  row("besides: the same groups with bare tape, solved in the 200 soils", tape_s,
      fmt::format("{} of them", taped.size()));
  row("besides: the search itself, tapes and check included", search_s, found.how);
}
