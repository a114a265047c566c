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

constexpr std::string_view load_log = "load log of a week";
constexpr std::string_view probe_device = "device with earth probe";
constexpr std::string_view line_to_neutral_device = "line-to-neutral device";
constexpr std::string_view inside_device = "device inside the charge point";
constexpr std::string_view transformer = "isolating transformer";
constexpr std::string_view residual_device = "RCD for TT";
constexpr std::string_view enclosure = "enclosure for TT";
constexpr std::string_view conductor = "conductor to the electrode";
constexpr std::string_view test = "test and certificate";
constexpr std::string_view driven_rod = "metre of driven rod";
constexpr std::string_view rod_head = "head of a rod";
constexpr std::string_view trench = "metre of trench";
constexpr std::string_view trench_conductor = "metre of conductor in the trench";
constexpr std::string_view plate = "plate in its pit";

constexpr std::array items{load_log,         probe_device, line_to_neutral_device,
                           inside_device,    transformer,  residual_device,
                           enclosure,        conductor,    test,
                           driven_rod,       rod_head,     trench,
                           trench_conductor, plate};

struct Needed {
  std::string_view item;
  double count = 1.0;
};

/// What each method takes besides the charge point itself.
std::vector<Needed> bill_of(Method method) {
  switch (method) {
  case Method::three_phase_load:
    return {{load_log}, {test}};
  case Method::supplementary_electrode:
    return {{electrode_item}, {conductor}, {test}};
  case Method::probe_device:
    return {{probe_device}, {test}};
  case Method::line_to_neutral_device:
    return {{line_to_neutral_device}, {test}};
  case Method::equivalent_device:
    return {{inside_device}, {test}};
  case Method::separated_circuit:
    return {{transformer}, {test}};
  case Method::tt_island:
    return {{electrode_item}, {conductor}, {residual_device}, {enclosure}, {test}};
  }
  throw InternalError("bill_of: a method without its bill");
}

std::vector<Needed> bill_of(const ElectrodeBill& electrode) {
  std::vector<Needed> bill;
  const auto add = [&](std::string_view item, double count) {
    if (count > 0.0) bill.push_back({item, count});
  };
  add(driven_rod, electrode.driven_m);
  add(rod_head, electrode.rod_count);
  add(trench, electrode.trench_m);
  add(trench_conductor, electrode.conductor_m);
  add(plate, electrode.plate_count);
  return bill;
}

std::optional<double> price_of(const Needed& needed, const PriceList& prices) {  // unit: currency
  const auto line = std::find_if(prices.lines.begin(), prices.lines.end(),
                                 [&](const PriceLine& known) { return known.item == needed.item; });
  if (line == prices.lines.end()) return std::nullopt;
  return needed.count * (line->price + line->labour);
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

RouteCost cost_of(const ElectrodeBill& electrode, const PriceList& prices) {
  require_valid(prices);
  if (electrode.is_there) return {{}, 0.0, {}, "in the ground already"};
  RouteCost cost;
  double total = 0.0;
  std::vector<std::string> known;
  for (const Needed& needed : bill_of(electrode)) {
    const auto price = price_of(needed, prices);
    cost.parts.push_back({std::string(needed.item), needed.count, price});
    if (!price) {
      cost.missing.emplace_back(needed.item);
      continue;
    }
    total += *price;
    known.push_back(fmt::format("{:.3g} x {}", needed.count, needed.item));
  }
  if (cost.missing.empty()) {
    cost.total = total;
    cost.sentence = fmt::format("{}", fmt::join(known, " + "));
  } else {
    cost.sentence = fmt::format("no price of {}", fmt::join(cost.missing, ", "));
  }
  return cost;
}

RouteCost cost_of(Method method, const PriceList& prices, const std::optional<RouteCost>& electrode) {
  require_valid(prices);
  RouteCost cost;
  double total = 0.0;
  std::vector<std::string> known;
  for (const Needed& needed : bill_of(method)) {
    const bool is_electrode = needed.item == electrode_item;
    const auto price = !is_electrode ? price_of(needed, prices) : electrode ? electrode->total : std::nullopt;
    cost.parts.push_back({std::string(needed.item), needed.count, price});
    const std::string details =
        is_electrode && electrode ? fmt::format(" ({})", electrode->sentence) : std::string();
    if (!price) {
      cost.missing.push_back(std::string(needed.item) + details);
      continue;
    }
    total += *price;
    known.push_back(fmt::format("{} {:.0f}{}", needed.item, *price, details));
  }
  if (cost.missing.empty()) {
    cost.total = total;
    cost.sentence = fmt::format("{:.0f} {} ({}){}", total, prices.currency, fmt::join(known, ", "),
                                prices.is_invented ? ", invented prices" : "");
  } else {
    cost.sentence = fmt::format("cost not known: no price of {}", fmt::join(cost.missing, ", "));
  }
  return cost;
}

}  // namespace ohmroot::routes
