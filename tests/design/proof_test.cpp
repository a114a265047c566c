// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/proof.hpp>

#include <catch2/catch.hpp>

#include <cmath>

using namespace ohmroot;
using namespace ohmroot::design;

// Clopper-Pearson ends in closed form: with all of n met the limit is alpha^(1/n); with one of n, 1 - (1 - alpha)^(1/n).
// Derived from the binomial distribution.
TEST_CASE("the lower limit of a share, against its closed forms", "[design]") {
  CHECK(lower_limit_ratio({60, 60}) == Approx(std::pow(0.05, 1.0 / 60)).epsilon(1e-12));
  CHECK(lower_limit_ratio({1, 60}) == Approx(1 - std::pow(0.95, 1.0 / 60)).epsilon(1e-10));
  CHECK(lower_limit_ratio({0, 60}) == 0.0);
  CHECK_THROWS_AS(lower_limit_ratio({61, 60}), DomainError);
}

TEST_CASE("the value at a share is the order statistic", "[design]") {
  CHECK(value_at_share({5, 1, 4, 2, 3}, 0.6) == 3);
  CHECK(value_at_share({5, 1, 4, 2, 3}, 0.61) == 4);
  CHECK(value_at_share({5, 1, 4, 2, 3}, 1.0) == 5);
}

// Uniform soil, cube-like half volume: the half-ellipsoid of sqrt(3) m half-axes is a hemisphere, R = rho / (2 pi a)
// (classical).
TEST_CASE("a floor by hand proves what it can and no more", "[design]") {
  ProofQuestion question{{2, 2, 1}, GroundDraws(100, {earth::LayeredSoil(100), 1.3, 1.0}), 1.0, 0.0, 0};
  const double hemisphere_ohm = 100 / (2 * 3.14159265358979 * std::sqrt(3.0));
  question.lenient_ohm = 0.999 * hemisphere_ohm;
  CHECK(prove_infeasible(question).is_proved);
  question.lenient_ohm = 1.001 * hemisphere_ohm;
  CHECK_FALSE(prove_infeasible(question).is_proved);
  question.block_draw_count = 2;  // the block itself is smaller than its ellipsoid: a higher floor
  const Proof proof = prove_infeasible(question);
  CHECK(proof.is_proved);
  CHECK(proof.block.middle_ohm > hemisphere_ohm);
  question.draws[0].best_season_ratio = question.draws[1].best_season_ratio = 0.1;  // 98 % is no proof
  question.block_draw_count = 0;
  question.lenient_ohm = 0.999 * hemisphere_ohm;
  CHECK_FALSE(prove_infeasible(question).is_proved);
}
