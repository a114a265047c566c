// SPDX-License-Identifier: MIT
#include "sample_test.hpp"

#include <ohmroot/core/error.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <tuple>

using namespace test;
using namespace ohmroot::acceptance;
using Catch::Contains;

TEST_CASE("a good test of a rod: its resistance by the field solution, no finding, pass", "[acceptance]") {
  const TestResult result = judge_test(rod_in_100_ohm_m(), good_test(), lenient_criterion());
  for (const Finding& finding : result.findings)
    FAIL_CHECK(finding.sentence);
  REQUIRE(result.resistance_ohm);
  CHECK(result.resistance_ohm->value == Approx(rod_resistance_ohm()).epsilon(0.005));
  CHECK(result.resistance_ohm->least < rod_resistance_ohm());
  CHECK(result.resistance_ohm->greatest > rod_resistance_ohm());
  CHECK(result.verdict == TestVerdict::pass);
  CHECK_THAT(result.why, Contains("Pass") && Contains("acceptance value"));
  REQUIRE(result.curves.size() == 1);
  CHECK(result.curves.front().flat);
  CHECK(result.curves.front().does_rule_hold);
  CHECK_THAT(result.curves.front().rule_sentence, Contains("61.8 % rule holds"));
  CHECK(*result.curves.front().at_61_8_percent_ohm == Approx(rod_resistance_ohm()).epsilon(0.005));
  // golden ratio: potential theory, a small electrode in uniform soil
  CHECK(result.curves.front().correct_position_ratio.value == Approx(0.618034).epsilon(0.003));
}

TEST_CASE("limits decide: fail, pass, cannot tell", "[acceptance]") {
  Criterion criterion = lenient_criterion();
  criterion.strictest_ohm = 20.0;
  criterion.most_lenient_ohm = 30.0;
  CHECK(judge_test(rod_in_100_ohm_m(), good_test(), criterion).verdict == TestVerdict::fail);
  criterion.most_lenient_ohm = 50.0;
  const TestResult between = judge_test(rod_in_100_ohm_m(), good_test(), criterion);
  CHECK(between.verdict == TestVerdict::cannot_tell);
  CHECK_THAT(between.why, Contains("neither wholly within"));
  criterion = lenient_criterion();
  criterion.season.reset();
  const TestResult no_season = judge_test(rod_in_100_ohm_m(), good_test(), criterion);
  CHECK(no_season.verdict == TestVerdict::cannot_tell);
  CHECK_FALSE(no_season.worst_season_ohm);
  CHECK_THAT(sentence_of(no_season, FindingKind::season), Contains("cannot be accepted for the year"));
  criterion.most_lenient_ohm = criterion.strictest_ohm = 20.0;  // today's failure stays one
  CHECK(judge_test(rod_in_100_ohm_m(), good_test(), criterion).verdict == TestVerdict::fail);
}

TEST_CASE("acceptance value: limit less conductor over the season, by hand", "[acceptance]") {
  Criterion criterion;
  criterion.strictest_ohm = 10.0;
  criterion.most_lenient_ohm = 12.0;
  criterion.earthing_conductor_ohm = 0.5;
  criterion.relied_on_conductance_per_ohm = 0.02;  // 50 ohm beside it
  criterion.season = Criterion::Season{1.1, 1.5, "invented"};
  const AcceptanceValue value = acceptance_value(criterion);
  CHECK(*value.accept_below_ohm == Approx((1.0 / (0.1 - 0.02) - 0.5) / 1.5));
  CHECK(*value.fail_above_ohm == Approx((1.0 / (1.0 / 12.0 - 0.02) - 0.5) / 1.1));
  const auto worst = worst_season(criterion, {8.0, 7.5, *value.accept_below_ohm, {}});
  CHECK(worst->greatest == Approx(10.0));  // at the acceptance value the worst season just keeps the limit
  criterion.strictest_ohm = 0.4;
  CHECK_FALSE(acceptance_value(criterion).accept_below_ohm);
  criterion.most_lenient_ohm = std::numeric_limits<double>::infinity();
  CHECK_FALSE(acceptance_value(criterion).fail_above_ohm);
  criterion.most_lenient_ohm = 0.3;
  CHECK_THROWS_AS(acceptance_value(criterion), ohmroot::DomainError);
}

TEST_CASE("every safe-working answer that is not yes is said, and nothing is accepted", "[acceptance]") {
  for (const SafeQuestion& question : safe_questions()) {
    for (const Answer answer : {Answer::no, Answer::not_known}) {
      StakeTest test = good_test();
      test.safe_working.*question.answer = answer;
      const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
      CHECK(result.verdict == TestVerdict::cannot_tell);
      CHECK_THAT(sentence_of(result, FindingKind::safe_working),
                 Contains(std::string(question.key)) && Contains(answer_name(answer)));
      CHECK(result.resistance_ohm);  // the reading is kept
    }
  }
  CHECK(answer_of("Not Known") == Answer::not_known);
  CHECK_FALSE(answer_of("perhaps"));
}

TEST_CASE("still connected to PME: a low reading is the network, and said to be", "[acceptance]") {
  StakeTest test = good_test();
  for (StakeReading& reading : test.readings)
    reading.resistance_ohm *= 0.15;
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK(result.verdict == TestVerdict::cannot_tell);
  const std::string words = sentence_of(result, FindingKind::still_connected);
  CHECK_THAT(words, Contains("Still connected") && Contains("network") && Contains("was predicted"));
  CHECK_THAT(words, Contains("never by opening the supply's earth of a live installation"));
  CHECK(sentence_of(result, FindingKind::metal_near).empty());
  CHECK_FALSE(result.worst_season_ohm);  // of the electrode nothing is known
  CHECK_THAT(result.why, Contains("Still connected"));
}

TEST_CASE("a whole sheet in another unit is named as such", "[acceptance]") {
  StakeTest test = good_test();
  for (StakeReading& reading : test.readings)
    reading.resistance_ohm *= 1000.0;
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(result, FindingKind::higher),
             Contains("It would fit as") && Contains("check the unit"));
  for (StakeReading& reading : test.readings)
    reading.resistance_ohm = reading.resistance_ohm / 1000.0 + 60.0;
  const TestResult other = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(other, FindingKind::higher), !Contains("It would fit as"));
}

TEST_CASE("a reading far above the prediction is said, and judged all the same", "[acceptance]") {
  StakeTest test = good_test();
  for (StakeReading& reading : test.readings)
    reading.resistance_ohm += 60.0;
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(result, FindingKind::higher), Contains("loose clamp") && Contains("was predicted"));
  CHECK(result.verdict == TestVerdict::fail);
}

TEST_CASE("on what it rests that a reading is not the network's is said, and is no finding", "[acceptance]") {
  const TestResult known = judge_test(rod_in_100_ohm_m(), good_test(), lenient_criterion());
  CHECK_THAT(known.separation, Contains("the reading beside the prediction"));
  const TestResult loose = judge_test(rod_in_100_ohm_m(2.0), good_test(), lenient_criterion());
  CHECK_THAT(loose.separation, Contains("known too loosely") && Contains("alone"));
  CHECK(loose.findings.empty());
  StakeTest open = good_test();
  open.safe_working.electrode_separated = Answer::not_known;
  const TestResult unproved = judge_test(rod_in_100_ohm_m(2.0), open, lenient_criterion());
  CHECK_THAT(unproved.separation, Contains("nothing"));
  CHECK(unproved.verdict == TestVerdict::cannot_tell);
  StakeTest low = good_test();
  for (StakeReading& reading : low.readings)
    reading.resistance_ohm *= 0.3;
  CHECK(judge_test(rod_in_100_ohm_m(), low, lenient_criterion()).separation.empty());
}

TEST_CASE("overlapping resistance areas: the advice names the distance", "[acceptance]") {
  // five rods in line, 12 m long, measured from their end with the stake 15 m away
  electrode::Electrode line{"line", {}};
  for (int i = 0; i < 5; ++i)
    line.conductors.push_back({{3.0 * i, 0.0, 0.0}, {3.0 * i, 0.0, 2.4}, 0.008});
  const TestedElectrode tested{line, {earth::LayeredSoil(100.0)}};
  const electrode::FieldSolution field = electrode::solve_field(earth::LayeredSoil(100.0), {line});
  StakeTest test;
  test.safe_working = all_safe();
  test.start = electrode::SurfacePlace{12.0, 0.0};
  test.current_direction_deg = 0.0;
  // by point sources at the rods, each with a fifth of the current
  for (const double p : {1.5, 3.0, 6.0, 9.0, 12.0, 14.0}) {
    double reading_ohm = field.resistance_ohm(0, 0) + 100.0 / (2.0 * std::numbers::pi * (15.0 - p));
    for (int i = 0; i < 5; ++i)
      for (const double place : {p, 15.0})
        reading_ohm -= 20.0 / (2.0 * std::numbers::pi * (place + 12.0 - 3.0 * i));
    test.readings.push_back({15.0, p, reading_ohm});
  }
  const TestResult result = judge_test(tested, test, lenient_criterion());
  CHECK(result.verdict == TestVerdict::cannot_tell);
  REQUIRE(result.needed_distance_m);
  // a point at the middle, 6 m behind the start: error at 61.8 % is k/R (1/(D+6) + 1/(P+6) - 1/(D-P)), by hand
  const double d = *result.needed_distance_m;
  const double by_hand = 100.0 / (2.0 * std::numbers::pi * field.resistance_ohm(0, 0)) *
                         (1.0 / (d + 6.0) + 1.0 / (0.618 * d + 6.0) - 1.0 / (0.382 * d));
  CHECK(std::abs(by_hand) == Approx(0.05).epsilon(0.25));
  const int shown_m = 5 * static_cast<int>(std::ceil(d / 5.0));
  CHECK_THAT(sentence_of(result, FindingKind::overlap),
             Contains("overlap") &&
                 Contains("Move the current stake to " + std::to_string(shown_m) + " m and repeat"));
  CHECK_FALSE(result.curves.front().does_rule_hold);
  CHECK_THAT(result.curves.front().rule_sentence, Contains("does not hold"));
}

TEST_CASE("one stray reading is named, left out, and does not bar the verdict", "[acceptance]") {
  StakeTest test = good_test();
  test.readings[3].resistance_ohm *= 1.4;
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(result, FindingKind::stray_reading), Contains("at 20 m") && Contains("left out"));
  CHECK(result.resistance_ohm->value == Approx(rod_resistance_ohm()).epsilon(0.005));
  CHECK(result.verdict == TestVerdict::pass);
}

TEST_CASE("metal near the stakes: a curve of no soil", "[acceptance]") {
  StakeTest test = good_test();
  for (std::size_t i = 3; i < test.readings.size(); ++i)
    test.readings[i].resistance_ohm *= 0.8;  // half of the line stands beside a pipe
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(result, FindingKind::metal_near),
             Contains("buried metal") && Contains("90 degrees") && Contains("repeat"));
  CHECK(result.verdict == TestVerdict::cannot_tell);
}

TEST_CASE("repeats that differ, bad stakes, stray voltage, too few readings: each in words", "[acceptance]") {
  StakeTest test = good_test();
  test.readings.push_back(test.readings[2]);
  test.readings.back().resistance_ohm *= 1.25;
  CHECK_THAT(sentence_of(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), FindingKind::scatter),
             Contains("at 16 m") && Contains("same place"));

  test = good_test();
  test.current_stake_ohm = 9000.0;
  const TestResult dry_stake = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(dry_stake, FindingKind::stakes),
             Contains("current stake has 9 kohm") && Contains("wet the soil"));
  CHECK(dry_stake.verdict == TestVerdict::pass);  // the tester may cope with more than every tester has to
  test.greatest_stake_ohm = 5000.0;
  CHECK(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()).verdict == TestVerdict::cannot_tell);
  test.greatest_stake_ohm.reset();
  test.current_stake_ohm = 900.0;
  CHECK(sentence_of(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), FindingKind::stakes).empty());

  test.stray_v = 6.0;
  CHECK_THAT(sentence_of(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), FindingKind::noise),
             Contains("6 V") && Contains("call the distributor"));

  test = good_test();
  test.readings.resize(2);
  const TestResult few = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK_THAT(sentence_of(few, FindingKind::few_readings), Contains("Only 2 readings"));
  CHECK(few.verdict == TestVerdict::cannot_tell);
}

TEST_CASE("readings aside of the line count too: 29 degrees at equal distances", "[acceptance]") {
  // 2 asin(1/4) = 28.955 degrees, where both stakes equally far read right: potential theory
  StakeTest test = good_test();
  test.readings = {{40.0, 40.0, rod_resistance_ohm(), 28.955},
                   {40.0, 40.0, rod_resistance_ohm(), -28.955},
                   {50.0, 50.0, rod_resistance_ohm(), 28.955}};
  const TestResult result = judge_test(rod_in_100_ohm_m(), test, lenient_criterion());
  CHECK(result.resistance_ohm->value == Approx(rod_resistance_ohm()).epsilon(0.001));
  CHECK(result.curves.empty());
  CHECK(result.findings.empty());
}

TEST_CASE("a test that is no test is refused", "[acceptance]") {
  StakeTest test = good_test();
  test.readings.front().potential_distance_m = 40.0;
  CHECK_THROWS_AS(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), ohmroot::DomainError);
  test = good_test();
  test.readings.front().resistance_ohm = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), ohmroot::DomainError);
  test.readings.clear();
  CHECK_THROWS_AS(judge_test(rod_in_100_ohm_m(), test, lenient_criterion()), ohmroot::DomainError);
  CHECK_THROWS_AS(judge_test({rod, {}}, good_test(), lenient_criterion()), ohmroot::DomainError);
}
