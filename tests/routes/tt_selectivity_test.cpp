// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/tt_selectivity.hpp>

#include <catch2/catch.hpp>

using namespace ohmroot;
using namespace ohmroot::routes;

TEST_CASE("selectivity with an upstream time-delayed RCD", "[routes][tt]") {
  // Ratio 3 from memory; 1 s and 0.2 s on TT: BS 7671 Table 41.1, second-hand; 500 and 167 ohm: Table 41.5, second-hand.
  const SelectivityCheck good = check_selectivity({{0.1, true}, {0.03, false}, 200.0});
  CHECK(good.judgement.support == Support::supports);
  CHECK(good.upstream_greatest_ohm == Approx(500.0));
  CHECK(good.upstream_disconnection_s == 1.0);
  CHECK(good.downstream_disconnection_s == 0.2);
  CHECK_THAT(good.judgement.finding, Catch::Contains("20.0 V, against 50 V"));
  CHECK(check_selectivity({{0.3, true}, {0.1, false}, 100.0}).judgement.support == Support::supports);
  CHECK(check_selectivity({{0.1, false}, {0.03, false}, 200.0}).judgement.support == Support::contradicts);
  CHECK(check_selectivity({{0.03, true}, {0.03, false}, 200.0}).judgement.support == Support::contradicts);
  const SelectivityCheck high = check_selectivity({{0.3, true}, {0.03, false}, 200.0});  // 60 V
  CHECK(high.judgement.support == Support::contradicts);
  CHECK_THAT(high.judgement.finding, Catch::Contains("60.0 V, against 50 V"));
  CHECK_THAT(high.judgement.next_step, Catch::Contains("167 ohm"));
}

TEST_CASE("devices that are not as described are refused", "[routes][tt]") {
  CHECK_THROWS_AS(check_selectivity({{0.0, true}, {0.03, false}, 200.0}), DomainError);
  CHECK_THROWS_AS(check_selectivity({{0.1, true}, {0.03, false}, 0.0}), DomainError);
  CHECK_THROWS_AS(check_selectivity({{0.1, true}, {0.03, false}, 10.0, -1.0}), DomainError);
}
