// SPDX-License-Identifier: MIT
// Kinds of place and bridging checks: each sentence, and the verdict that it forces. Common practice and clauses from
// memory, as each rule says of itself.
#include <ohmroot/routes/bridging.hpp>
#include <ohmroot/routes/places.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

namespace {

using namespace ohmroot;
using namespace ohmroot::routes;

/// Records of a site where everything is as good as it can be.
std::vector<MethodRecord> good_records() {
  std::vector<MethodRecord> records;
  for (std::size_t i = 0; i < method_words().size(); ++i)
    records.push_back({static_cast<Method>(i), "", "", Support::supports, "found", "", ""});
  return records;
}

Support support_of(const std::vector<MethodRecord>& records, Method method) {
  return records.at(static_cast<std::size_t>(method)).support;
}

PlaceAnswers only(Place place) {
  PlaceAnswers answers{};
  answers.at(static_cast<std::size_t>(place)) = Answer::yes;
  return answers;
}

}  // namespace

TEST_CASE("every kind of place has its sentence, and forces what it says", "[routes]") {
  std::set<std::string_view> keys;
  for (const PlaceRule& rule : place_rules()) {
    INFO(rule.key);
    CHECK(keys.insert(rule.key).second);
    CHECK(rule.question.back() == '?');
    CHECK(rule.sentence.size() > 40);
    CHECK_FALSE(rule.provenance.empty());
    REQUIRE_FALSE(rule.effects.empty());
    auto records = good_records();
    apply_places(only(rule.place), {}, records);
    for (const PlaceEffect& effect : rule.effects) {
      CHECK(support_of(records, effect.method) == effect.greatest_support);
      const auto& finding = records.at(static_cast<std::size_t>(effect.method)).finding;
      CHECK(finding.find(rule.sentence) != std::string::npos);
    }
    const auto touched =
        static_cast<std::size_t>(std::count_if(records.begin(), records.end(), [](const MethodRecord& r) {
          return r.support != Support::supports;
        }));
    CHECK(touched == rule.effects.size());  // and nothing else
  }
  CHECK(keys.size() == place_count);
}

TEST_CASE("what is not known and what is denied change no support", "[routes]") {
  for (const Answer answer : {Answer::not_known, Answer::no}) {
    PlaceAnswers answers{};
    answers.fill(answer);
    auto records = good_records();
    apply_places(answers, {}, records);
    for (const MethodRecord& record : records)
      CHECK(record.support == Support::supports);
  }
}

TEST_CASE("the supplier's earth may not go to caravans, boats and construction sites", "[routes]") {
  for (const Place place : {Place::caravan_site, Place::boat_mooring, Place::construction_site}) {
    auto records = good_records();
    apply_places(only(place), {}, records);
    CHECK(support_of(records, Method::supplementary_electrode) == Support::contradicts);
    CHECK(support_of(records, Method::probe_device) == Support::contradicts);
    CHECK(support_of(records, Method::tt_island) == Support::supports);
  }
}

TEST_CASE("livestock and pools ask for 25 V, and are content with it", "[routes]") {
  for (const Place place : {Place::farm_or_livestock, Place::swimming_pool}) {
    auto at_usual = good_records();
    apply_places(only(place), {}, at_usual);
    CHECK(support_of(at_usual, Method::tt_island) == Support::does_not_tell);
    CHECK(support_of(at_usual, Method::supplementary_electrode) == Support::does_not_tell);
    auto at_low = good_records();
    apply_places(only(place), {70.0, 25.0}, at_low);
    CHECK(support_of(at_low, Method::tt_island) == Support::supports);
    CHECK(support_of(at_low, Method::supplementary_electrode) == Support::does_not_tell);
  }
}

TEST_CASE("a place never lifts what the data contradict", "[routes]") {
  auto records = good_records();
  for (MethodRecord& record : records)
    record.support = Support::contradicts;
  PlaceAnswers answers{};
  answers.fill(Answer::yes);
  apply_places(answers, {}, records);
  for (const MethodRecord& record : records)
    CHECK(record.support == Support::contradicts);
}

TEST_CASE("each bridging check has its sentence; one unticked leaves TT open, one bridged rules it out",
          "[routes]") {
  BridgeAnswers all_clear{};
  all_clear.fill(Answer::yes);
  CHECK(check_bridging(all_clear).is_clear());
  CHECK(check_bridging({}).not_checked.size() == bridge_count);
  MethodFacts facts;
  facts.tt_resistance = {Support::supports, "20 ohm x 30 mA = 0.6 V, within 50 V", ""};
  facts.tt_separation_m = 12.0;
  facts.tt_transferred_v = Estimate{5.0, 4.0, 6.0, "field solution"};
  facts.is_reach_checked = true;
  const auto tt_with = [&](const BridgeAnswers& answers) {
    const BridgingCheck check = check_bridging(answers);
    facts.bridged = check.bridged;
    facts.unchecked_bridge_count = check.not_checked.size();
    return method_records(facts).back();
  };
  CHECK(tt_with(all_clear).support == Support::supports);
  std::set<std::string_view> keys;
  for (const BridgeRule& rule : bridge_rules()) {
    INFO(rule.key);
    CHECK(keys.insert(rule.key).second);
    BridgeAnswers answers = all_clear;
    answers.at(static_cast<std::size_t>(rule.bridge)) = Answer::not_known;
    CHECK(check_bridging(answers).not_checked == std::vector<std::string>{std::string(rule.check)});
    const MethodRecord open = tt_with(answers);
    CHECK(open.support == Support::does_not_tell);
    CHECK(open.finding.find("cannot be decided") != std::string::npos);
    answers.at(static_cast<std::size_t>(rule.bridge)) = Answer::no;
    const MethodRecord bridged = tt_with(answers);
    CHECK(bridged.support == Support::contradicts);
    CHECK(bridged.finding.find(rule.sentence) != std::string::npos);
  }
}
