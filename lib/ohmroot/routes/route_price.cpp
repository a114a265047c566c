// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/route_price.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ohmroot::routes {
namespace {

constexpr std::string_view electrode_item = "electrode as designed";

constexpr std::array<std::string_view, 9> items{"load log of a week",     "device with earth probe",
                                                "line-to-neutral device", "device inside the charge point",
                                                "isolating transformer",  "RCD for TT",
                                                "enclosure for TT",       "conductor to the electrode",
                                                "test and certificate"};

/// What each method takes besides the charge point itself.
std::vector<std::pair<std::string_view, double>> bill_of(Method method) {
  switch (method) {
  case Method::three_phase_load:
    return {{items[0], 1.0}, {items[8], 1.0}};
  case Method::supplementary_electrode:
    return {{electrode_item, 1.0}, {items[7], 1.0}, {items[8], 1.0}};
  case Method::probe_device:
    return {{items[1], 1.0}, {items[8], 1.0}};
  case Method::line_to_neutral_device:
    return {{items[2], 1.0}, {items[8], 1.0}};
  case Method::equivalent_device:
    return {{items[3], 1.0}, {items[8], 1.0}};
  case Method::separated_circuit:
    return {{items[4], 1.0}, {items[8], 1.0}};
  case Method::tt_island:
    return {{electrode_item, 1.0}, {items[7], 1.0}, {items[5], 1.0}, {items[6], 1.0}, {items[8], 1.0}};
  }
  throw InternalError("bill_of: a method without its bill");
}

void require_valid(const PriceList& prices) {
  for (std::size_t i = 0; i < prices.lines.size(); ++i) {
    const PriceLine& line = prices.lines[i];
    require_not_negative("prices.lines.price", line.price, "");
    require_not_negative("prices.lines.labour", line.labour, "");
    if (std::find(items.begin(), items.end(), line.item) == items.end())
      throw DomainError("prices.lines.item", line.item, "one of price_items()");
    for (std::size_t j = 0; j < i; ++j) {
      if (prices.lines[j].item == line.item) throw DomainError("prices.lines.item", line.item, "listed once");
    }
  }
}

}  // namespace

std::span<const std::string_view> price_items() {
  return items;
}

RouteCost cost_of(Method method, const PriceList& prices, std::optional<double> electrode_cost) {
  require_valid(prices);
  RouteCost cost;
  double total = 0.0;
  std::vector<std::string> known;
  std::vector<std::string> missing;
  for (const auto& [item, count] : bill_of(method)) {
    CostPart part{std::string(item), count, std::nullopt};
    if (item == electrode_item) {
      part.cost = electrode_cost;
    } else {
      const auto line = std::find_if(prices.lines.begin(), prices.lines.end(),
                                     [&, wanted = item](const PriceLine& l) { return l.item == wanted; });
      if (line != prices.lines.end()) part.cost = count * (line->price + line->labour);
    }
    if (part.cost) {
      total += *part.cost;
      known.push_back(fmt::format("{} {:.0f}", item, *part.cost));
    } else {
      missing.emplace_back(item);
    }
    cost.parts.push_back(std::move(part));
  }
  if (missing.empty()) {
    cost.total = total;
    cost.sentence = fmt::format("{:.0f} {} ({}){}", total, prices.currency, fmt::join(known, ", "),
                                prices.is_invented ? ", invented prices" : "");
  } else {
    cost.sentence = fmt::format("cost not known: no price of {}", fmt::join(missing, ", "));
  }
  return cost;
}

}  // namespace ohmroot::routes
