// SPDX-License-Identifier: MIT
#include <ohmroot/design/detail/sensitivity.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::design::detail {
namespace {

constexpr double step_ratio = 0.1;

std::optional<double> least_cost(const Question& question, const std::vector<Design>& judged,
                                 const Prices& prices, double required_ohm) {
  std::optional<double> least;
  for (const Design& design : judged) {
    if (!(design.value_ohm <= required_ohm)) continue;
    const double cost = cost_of(quantities_of(design.arrangement, question.parts), prices);
    if (!least || cost < *least) least = cost;
  }
  return least;
}

struct PriceName {
  double Prices::*price;
  const char* name;
};
constexpr PriceName price_names[]{
    {&Prices::section, "price of a rod section"},    {&Prices::driving_per_m, "price of driving"},
    {&Prices::trench_per_m, "price of the trench"},  {&Prices::head, "price of a rod head"},
    {&Prices::tape_per_m, "price of bare tape"},     {&Prices::conductor_per_m, "price of the conductor"},
    {&Prices::coupler, "price of a coupler"},        {&Prices::fixed, "fixed price"},
    {&Prices::plate, "price of a plate in its pit"}, {&Prices::steel, "price of joining the steel"},
};

struct Pair {
  Sensitivity up, down;
  double greatest_move;
};

}  // namespace

std::vector<Sensitivity> sensitivities(const Question& question, const std::vector<Design>& judged,
                                       double aim_ohm) {
  const double conductor_ohm = question.goal.conductor_ohm;
  const auto now = least_cost(question, judged, question.prices, aim_ohm);
  if (!now) return {};
  std::vector<Pair> pairs;
  const auto add = [&](const std::string& name, const auto& cost_at) {
    Pair pair{{name + " +10 %", cost_at(1 + step_ratio)}, {name + " -10 %", cost_at(1 - step_ratio)}, 0.0};
    for (const Sensitivity* end : {&pair.up, &pair.down})
      pair.greatest_move = std::max(pair.greatest_move, end->cost ? std::abs(*end->cost - *now)
                                                                  : std::numeric_limits<double>::infinity());
    pairs.push_back(std::move(pair));
  };
  // Resistance goes with resistivity, and the conductor's share does not.
  add("resistivity of the soil", [&](double ratio) {
    return least_cost(question, judged, question.prices, (aim_ohm - conductor_ohm) / ratio + conductor_ohm);
  });
  add("required resistance",
      [&](double ratio) { return least_cost(question, judged, question.prices, aim_ohm * ratio); });
  for (const auto& [price, name] : price_names) {
    add(name, [&, member = price](double ratio) {
      Prices moved = question.prices;
      moved.*member *= ratio;
      return least_cost(question, judged, moved, aim_ohm);
    });
  }
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const Pair& a, const Pair& b) { return a.greatest_move > b.greatest_move; });
  std::vector<Sensitivity> result;
  for (std::size_t i = 0; i < 3; ++i) {
    result.push_back(pairs[i].up);
    result.push_back(pairs[i].down);
  }
  return result;
}

}  // namespace ohmroot::design::detail
