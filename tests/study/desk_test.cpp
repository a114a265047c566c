// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/study/desk.hpp>

#include <catch2/catch.hpp>

#include <cmath>

namespace {

using namespace ohmroot;
using study::DeskFacts;

DeskFacts facts(double demand_a = 32.0) {
  DeskFacts known;
  known.earthing = study::Earthing::tn_c_s;
  known.is_looped = study::Answer::no;
  known.phase_count = 1;
  known.demand_a = demand_a;
  known.land_length_m = 12.0;
  known.land_width_m = 8.0;
  known.depth_m = 3.0;
  return known;
}

}  // namespace

TEST_CASE("the earthing arrangement alone ends the question where no PEN can break", "[study][desk]") {
  for (const auto earthing :
       {study::Earthing::tt, study::Earthing::tn_s_own_transformer, study::Earthing::tn_s_private_network}) {
    DeskFacts known;
    known.earthing = earthing;
    const auto answer = study::desk_answer(known);
    CHECK(answer.early_exit.has_value());
    CHECK(study::exit_code(answer.verdict) == 0);
    CHECK(answer.requirements.empty());
  }
}

TEST_CASE("a distributor's TN-S and an unknown arrangement are treated as PME", "[study][desk]") {
  for (const auto earthing : {study::Earthing::tn_s_distributor, study::Earthing::unknown}) {
    DeskFacts known = facts();
    known.earthing = earthing;
    const auto answer = study::desk_answer(known);
    CHECK_FALSE(answer.early_exit.has_value());
    REQUIRE_FALSE(answer.assumptions.empty());
    CHECK_THAT(answer.assumptions.front(), Catch::Contains("treated as PME"));
    CHECK_FALSE(answer.ask_distributor.empty());
  }
}

TEST_CASE("a looped service sends the user to the distributor and decides nothing", "[study][desk]") {
  DeskFacts known = facts();
  known.is_looped = study::Answer::yes;
  known.rod_reading = study::SoilFromRod{{1.2, 0.016}, 900.0, 0.05};
  const auto answer = study::desk_answer(known);
  CHECK(answer.verdict == study::Verdict::undecided);
  CHECK_THAT(answer.headline, Catch::Contains("distributor"));
}

// 32 A gives 2.75 / 2.19 / 1.39 ohm for constant impedance / current / power over 216.2 to 253 V: derived closed
// forms 70 U0 / (I (1.1 U0 - 70)), 70 / I, 70 (0.94 U0 - 70) / (U0 I); the voltage range is that of the Electricity
// Safety, Quality and Continuity Regulations 2002, regulation 27(3), +10 / -6 % (quoted second-hand).
TEST_CASE("32 A on one phase needs 2.75, 2.19 and 1.39 ohm by load model", "[study][desk]") {
  const auto answer = study::desk_answer(facts(32.0));
  CHECK(answer.most_lenient_ohm == Approx(2.7493).epsilon(1e-4));
  CHECK(answer.strictest_ohm == Approx(1.3905).epsilon(1e-3));
}

TEST_CASE("break-even and floor turn into the test rod's ohms by the rod's own formula", "[study][desk]") {
  const auto answer = study::desk_answer(facts());
  REQUIRE(answer.arrangement);
  CHECK(answer.arrangement->rod_count == 13);  // 40 m round, one rod every 3 m
  CHECK(*answer.break_even_ohm_m * answer.arrangement->factor_per_m == Approx(answer.strictest_ohm));
  CHECK(*answer.no_go_ohm_m * answer.block_floor_factor_per_m == Approx(answer.most_lenient_ohm));
  CHECK(*answer.ellipsoid_no_go_ohm_m * answer.floor_factor_per_m == Approx(answer.most_lenient_ohm));
  // The ellipsoid encloses the block; the block cannot be beaten by the rods inside it.
  CHECK(answer.block_floor_factor_per_m > answer.floor_factor_per_m);
  CHECK(answer.block_floor_factor_per_m < *answer.arrangement->field_factor_per_m);
  CHECK(*answer.break_even_ohm_m < *answer.no_go_ohm_m);
  // One rod 1.2 m x 16 mm: rho / (2 pi L) (ln(8 L / d) - 1), Dwight 1936 (from memory).
  const double factor_per_m = (std::log(8 * 1.2 / 0.016) - 1) / (2 * 3.14159265358979 * 1.2);
  CHECK(*answer.go_reading_ohm == Approx(*answer.break_even_ohm_m * factor_per_m));
  CHECK(*answer.no_go_reading_ohm == Approx(*answer.no_go_ohm_m * factor_per_m));
}

// Half-ellipsoid by another route: for equal semi-axes it is a hemisphere, rho / (2 pi r) (classical).
TEST_CASE("the floor of a cube-like volume is that of its enclosing hemisphere", "[study][desk]") {
  DeskFacts known = facts();
  known.land_length_m = 6.0;
  known.land_width_m = 6.0;
  known.depth_m = 3.0;
  const auto answer = study::desk_answer(known);
  CHECK(answer.floor_factor_per_m == Approx(1 / (2 * 3.14159265358979 * std::sqrt(3.0) * 3.0)));
}

TEST_CASE("a soil word never yields feasible, nor does it rule anything out", "[study][desk]") {
  for (const char* word : {"clay", "sand", "chalk"}) {
    for (const double demand_a : {0.5, 32.0, 100.0}) {
      DeskFacts known = facts(demand_a);
      known.soil_word = word;
      const auto answer = study::desk_answer(known);
      CHECK(answer.verdict == study::Verdict::undecided);
      CHECK(answer.soil_ohm_m.has_value());
    }
  }
}

TEST_CASE("one rod's reading rules out its like when even far apart too many would be needed",
          "[study][desk]") {
  DeskFacts known = facts(32.0);
  known.depth_m = 1.2;
  known.rod_reading = study::SoilFromRod{{1.2, 0.016}, 200.0, 0.05};
  const auto answer = study::desk_answer(known);
  REQUIRE(answer.least_rods_bound);
  CHECK(*answer.least_rods_bound == 73);  // 200 / 2.749 = 72.7; 40 m round the land hold 33
  CHECK(answer.verdict == study::Verdict::not_feasible);
  // Where deeper rods can be driven, a short one rules nothing out.
  known.depth_m = 3.0;
  CHECK(study::desk_answer(known).verdict == study::Verdict::undecided);
}

TEST_CASE("the two floors that a hand can check stand in order", "[study][desk]") {
  const auto answer = study::desk_answer(facts());
  REQUIRE(answer.separate_rods_no_go_ohm_m);
  // 13 rods of 3 m x 16 mm: 2.749 x 13 x 2 pi 3 / (ln(8 x 3 / 0.016) - 1), Dwight 1936 (from memory)
  CHECK(*answer.separate_rods_no_go_ohm_m ==
        Approx(2.749317 * 13 * 2 * 3.14159265358979 * 3 / (std::log(1500.0) - 1)).epsilon(1e-5));
  CHECK(*answer.separate_rods_no_go_ohm_m > *answer.break_even_ohm_m);
}

TEST_CASE("unknown facts leave out what they would decide, and no more", "[study][desk]") {
  DeskFacts known;
  known.earthing = study::Earthing::tn_c_s;
  const auto answer = study::desk_answer(known);
  CHECK(answer.verdict == study::Verdict::undecided);
  CHECK(answer.requirements.size() == 4);
  CHECK_FALSE(answer.break_even_ohm_m.has_value());
  CHECK_FALSE(answer.measure_next.empty());
}

TEST_CASE("facts out of range are refused by name", "[study][desk]") {
  DeskFacts known = facts();
  known.depth_m = -1.0;
  CHECK_THROWS_WITH(study::desk_answer(known), Catch::Contains("depth_m"));
  known = facts();
  known.phase_count = 2;
  CHECK_THROWS_AS(study::desk_answer(known), DomainError);
}
