// SPDX-License-Identifier: MIT
#include "sample_test.hpp"

#include <ohmroot/acceptance/other_method.hpp>
#include <ohmroot/core/error.hpp>

#include <catch2/catch.hpp>

using namespace ohmroot;
using namespace ohmroot::acceptance;
using Catch::Contains;

namespace {

OtherReading two_point(double reading_ohm) {
  OtherReading reading;
  reading.reading_ohm = reading_ohm;
  reading.is_pme_connected = Answer::no;
  reading.is_other_earth_apart = Answer::yes;
  return reading;
}

}  // namespace

TEST_CASE("two-point: the other earth is taken off where it is known, an upper bound where not",
          "[acceptance]") {
  OtherReading reading = two_point(25.0);
  reading.lead_ohm = 0.4;
  const OtherResult bound = judge_other(reading);
  REQUIRE(bound.resistance_ohm);
  CHECK(bound.is_upper_bound);
  CHECK(bound.resistance_ohm->greatest == Approx(24.6 + 1.6448536 * 0.05 * 25.0));
  CHECK_THAT(bound.correction, Contains("upper bound only"));
  reading.return_path_ohm = Estimate{2.0, 1.5, 3.0, "water main, by the clamp"};
  const OtherResult known = judge_other(reading);
  CHECK_FALSE(known.is_upper_bound);
  CHECK(known.resistance_ohm->value == Approx(22.6));
  CHECK(known.resistance_ohm->least == Approx(22.6 - std::hypot(1.6448536 * 1.25, 1.0)));
  CHECK(known.resistance_ohm->greatest == Approx(22.6 + std::hypot(1.6448536 * 1.25, 0.5)));
  CHECK_THAT(known.measures, Contains("in series"));
  reading.is_other_earth_apart = Answer::not_known;
  CHECK_THAT(judge_other(reading).refusal, Contains("resistance areas overlap"));
  reading = two_point(25.0);
  reading.is_pme_connected = Answer::not_known;
  CHECK_THAT(judge_other(reading).refusal, Contains("off the PME terminal"));
  CHECK_FALSE(judge_other(reading).resistance_ohm);
}

TEST_CASE("loop: refused through the PEN, an upper bound or a difference without it", "[acceptance]") {
  OtherReading reading = two_point(25.0);
  reading.method = OtherMethod::loop;
  CHECK(judge_other(reading).is_upper_bound);
  CHECK_THAT(judge_other(reading).measures, Contains("source and its earth"));
  reading.return_path_ohm = Estimate{0.8, 0.5, 1.2, "stated"};
  CHECK(judge_other(reading).resistance_ohm->value == Approx(24.2));
  reading.is_pme_connected = Answer::yes;
  CHECK_THAT(judge_other(reading).refusal, Contains("closes through the PEN"));
}

TEST_CASE("clamp: needs the loop through PME, and no loop of metal", "[acceptance]") {
  OtherReading reading;
  reading.method = OtherMethod::clamp;
  reading.reading_ohm = 12.0;
  reading.is_pme_connected = Answer::yes;
  reading.has_metal_loop = Answer::no;
  CHECK(judge_other(reading).is_upper_bound);
  reading.return_path_ohm = Estimate{0.5, 0.2, 1.0, "network"};
  CHECK(judge_other(reading).resistance_ohm->value == Approx(11.5));
  reading.has_metal_loop = Answer::not_known;
  CHECK_THAT(judge_other(reading).refusal, Contains("loop of metal"));
  reading.is_pme_connected = Answer::no;
  CHECK_THAT(judge_other(reading).refusal, Contains("needs a closed loop"));
}

TEST_CASE("a difference that could be zero is refused, and so is nonsense", "[acceptance]") {
  OtherReading reading = two_point(2.0);
  reading.return_path_ohm = Estimate{1.9, 1.0, 3.0, "stated"};
  CHECK_THAT(judge_other(reading).refusal, Contains("told from zero"));
  reading = two_point(2.0);
  reading.lead_ohm = 5.0;
  CHECK_THAT(judge_other(reading).refusal, Contains("leads are more than the reading"));
  CHECK_THROWS_AS(judge_other(two_point(-1.0)), DomainError);
  reading = two_point(2.0);
  reading.return_path_ohm = Estimate{1.0, 2.0, 3.0, "not ordered"};
  CHECK_THROWS_AS(judge_other(reading), DomainError);
}

TEST_CASE("a whole test without stakes: bound, difference, network, refusal", "[acceptance]") {
  const auto judged = [](const OtherReading& reading) {
    return judge_other_test(test::rod_in_100_ohm_m(), reading, test::all_safe(), test::lenient_criterion());
  };
  // the rod has 40 ohm, the acceptance value is 60 / 1.2 = 50 ohm
  const OtherTestResult bound = judged(two_point(42.0));
  CHECK(bound.reading.is_upper_bound);
  CHECK(bound.verdict == TestVerdict::pass);  // at most 45.5 ohm is enough to pass
  CHECK_FALSE(bound.worst_season_ohm);
  const OtherTestResult high = judged(two_point(200.0));
  CHECK(high.verdict == TestVerdict::cannot_tell);  // an upper bound never fails
  OtherReading known = two_point(200.0);
  known.return_path_ohm = Estimate{20.0, 15.0, 25.0, "stated"};
  CHECK(judged(known).verdict == TestVerdict::fail);
  const OtherTestResult network = judged(two_point(3.0));
  CHECK(network.verdict == TestVerdict::cannot_tell);
  CHECK_THAT(network.why, Contains("Still connected"));
  OtherReading loop = two_point(3.0);
  loop.method = OtherMethod::loop;
  loop.is_pme_connected = Answer::yes;
  CHECK_THAT(judged(loop).why, Contains("refused") && Contains("PEN"));
}

TEST_CASE("a clamp reading needs the electrode connected; of the others it must be off", "[acceptance]") {
  OtherReading clamp;
  clamp.method = OtherMethod::clamp;
  clamp.reading_ohm = 41.0;
  clamp.is_pme_connected = Answer::yes;
  clamp.has_metal_loop = Answer::no;
  SafeWorking answers = test::all_safe();
  answers.electrode_separated = Answer::no;
  const auto with = [&](const OtherReading& reading) {
    return judge_other_test(test::rod_in_100_ohm_m(), reading, answers, test::lenient_criterion());
  };
  CHECK(with(clamp).verdict == TestVerdict::pass);
  clamp.reading_ohm = 0.3;
  const OtherTestResult loop_of_metal = with(clamp);
  CHECK(loop_of_metal.verdict == TestVerdict::cannot_tell);
  CHECK_THAT(loop_of_metal.why, Contains("loop of metal") && Contains("first joint"));
  const OtherTestResult barred = with(two_point(41.0));
  CHECK(barred.verdict == TestVerdict::cannot_tell);
  CHECK_THAT(barred.why, Contains("electrode separated"));
}
