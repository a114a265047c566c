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
  std::optional<double> total;            // unit: currency; none: a price is missing
  std::vector<std::string> missing = {};  ///< items without a price
  std::string sentence;  ///< "310 units (RCD for TT 120, ...)" or "cost not known: no price of ..."
};

/// What an electrode is made of, as far as it is priced.
struct ElectrodeBill {
  double driven_m = 0.0;  ///< of rod, all rods together
  int rod_count = 0;
  double trench_m = 0.0;     ///< dug and filled in
  double conductor_m = 0.0;  ///< laid in it: tape, round conductor, or what joins the rods
  int plate_count = 0;
  bool is_there = false;  ///< in the ground already: it costs nothing
};

/// Of the electrode alone. Throws DomainError as below.
[[nodiscard]] RouteCost cost_of(const ElectrodeBill& electrode, const PriceList& prices);

/// electrode: its own cost; none: no electrode is designed. Throws DomainError for prices below 0, or an item that is
/// listed twice or not known.
[[nodiscard]] RouteCost cost_of(Method method, const PriceList& prices,
                                const std::optional<RouteCost>& electrode);

}  // namespace ohmroot::routes
