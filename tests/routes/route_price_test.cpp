// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/register.hpp>
#include <ohmroot/routes/route_price.hpp>

#include <catch2/catch.hpp>

#include <set>

namespace {

using namespace ohmroot;
using namespace ohmroot::routes;

/// Every item at 10 and 1 of labour.
PriceList full_list() {
  PriceList prices{"units", true, {}};
  for (const std::string_view item : price_items())
    prices.lines.push_back({std::string(item), "each", 10.0, 1.0});
  return prices;
}

}  // namespace

TEST_CASE("a method costs its parts, labour included", "[routes]") {
  const RouteCost separated = cost_of(Method::separated_circuit, full_list(), {});
  REQUIRE(separated.total);
  CHECK(*separated.total == 22.0);  // transformer, test
  CHECK(separated.sentence.find("invented prices") != std::string::npos);
  const RouteCost tt = cost_of(Method::tt_island, full_list(), RouteCost{{}, 200.0, {}, "as drawn"});
  REQUIRE(tt.total);
  CHECK(*tt.total == 244.0);  // electrode, conductor, RCD, enclosure, test
  for (const Method method : {Method::three_phase_load, Method::probe_device, Method::line_to_neutral_device,
                              Method::equivalent_device})
    CHECK(cost_of(method, full_list(), {}).total == 22.0);
}

TEST_CASE("a price that is missing makes the cost not known, and says which", "[routes]") {
  PriceList prices = full_list();
  std::erase_if(prices.lines, [](const PriceLine& line) { return line.item == "test and certificate"; });
  const RouteCost cost = cost_of(Method::probe_device, prices, {});
  CHECK_FALSE(cost.total);
  CHECK(cost.sentence == "cost not known: no price of test and certificate");
  CHECK_FALSE(cost_of(Method::tt_island, full_list(), {}).total);  // no price of the electrode
}

TEST_CASE("an electrode costs its metres, heads and plates by the same list", "[routes]") {
  ElectrodeBill bill;
  bill.driven_m = 4.8;
  bill.rod_count = 2;
  bill.trench_m = bill.conductor_m = 3.0;
  const RouteCost electrode = cost_of(bill, full_list());
  REQUIRE(electrode.total);
  CHECK(*electrode.total == Approx(11.0 * (4.8 + 2 + 3 + 3)));
  CHECK(electrode.sentence.find("4.8 x metre of driven rod") != std::string::npos);
  PriceList prices = full_list();
  std::erase_if(prices.lines, [](const PriceLine& line) { return line.item == "head of a rod"; });
  const RouteCost unknown = cost_of(bill, prices);
  CHECK_FALSE(unknown.total);
  const RouteCost method = cost_of(Method::supplementary_electrode, prices, unknown);
  CHECK(method.sentence == "cost not known: no price of electrode as designed (no price of head of a rod)");
  bill.is_there = true;
  CHECK(cost_of(bill, prices).total == 0.0);  // in the ground already
}

TEST_CASE("a price list that contradicts itself is refused", "[routes]") {
  PriceList prices = full_list();
  prices.lines.push_back(prices.lines.front());
  CHECK_THROWS_AS(cost_of(Method::tt_island, prices, {}), DomainError);
  prices = full_list();
  prices.lines[0].price = -1.0;
  CHECK_THROWS_AS(cost_of(Method::tt_island, prices, {}), DomainError);
  prices.lines[0] = {"gold", "each", 1.0, 0.0};
  CHECK_THROWS_AS(cost_of(Method::tt_island, prices, {}), DomainError);
}

TEST_CASE("the register names where each thing stands and how it is known", "[routes]") {
  std::set<std::string_view> keys;
  for (const RegisterEntry& entry : clause_register()) {
    CHECK(keys.insert(entry.key).second);
    CHECK_FALSE(entry.where.empty());
    CHECK_FALSE(entry.topic.empty());
    CHECK_FALSE(entry.known.empty());
  }
}
