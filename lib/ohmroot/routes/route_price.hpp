// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/methods.hpp>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// Things that the routes are made of, one word for each in the price list.
[[nodiscard]] std::span<const std::string_view> price_items();

/// One line of the user's price list, in the currency of the list.
struct PriceLine {
  std::string item;     ///< one of price_items()
  std::string unit;     ///< "each", "m", "visit": as the user prices it
  double price = 0.0;   // unit: currency per unit
  double labour = 0.0;  // unit: currency per unit
};

struct PriceList {
  std::string currency;
  bool is_invented = false;
  std::vector<PriceLine> lines;
};

/// What a method costs, with its parts.
struct CostPart {
  std::string item;
  double count = 1.0;          // unit: none
  std::optional<double> cost;  // unit: currency; none: not in the list
};
struct RouteCost {
  std::vector<CostPart> parts;
  std::optional<double> total;  // unit: currency; none: a price is missing
  std::string sentence;         ///< "310 units (30 mA RCD 1 x 120, ...)" or "cost not known: no price of ..."
};

/// electrode_cost: of the candidate, priced elsewhere; none: not known. Throws DomainError for prices below 0, or an item
/// that is listed twice or not known.
[[nodiscard]] RouteCost cost_of(Method method, const PriceList& prices,
                                std::optional<double> electrode_cost);  // unit: currency

}  // namespace ohmroot::routes
