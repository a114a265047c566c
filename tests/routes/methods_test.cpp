// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/routes/methods.hpp>

#include <catch2/catch.hpp>

#include <algorithm>

using namespace ohmroot;
using namespace ohmroot::routes;

namespace {

MethodRecord record_of(const MethodFacts& facts, Method method) {
  for (const MethodRecord& record : method_records(facts)) {
    if (record.method == method) return record;
  }
  throw std::runtime_error("no record of this method");
}

bool says(const std::string& text, const char* words) {
  return text.find(words) != std::string::npos;
}

supply::Requirement requirement_with(supply::RequirementOutcome outcome) {
  supply::Requirement requirement;
  requirement.name = "constant impedance";
  requirement.outcome = outcome;
  requirement.resistance_ohm = outcome == supply::RequirementOutcome::limited ? 2.75 : 0.0;
  requirement.why = "the whole star would be needed";
  return requirement;
}

MethodFacts balanced_workshop() {
  MethodFacts facts;
  facts.phase_count = 3;
  facts.edition = "BS 7671:2018+A1:2020";
  facts.requirements = {requirement_with(supply::RequirementOutcome::none_needed)};
  return facts;
}

}  // namespace

TEST_CASE("every method has a record with letters, finding, next step and provenance", "[routes]") {
  for (const int phase_count : {1, 3}) {
    MethodFacts facts;
    facts.phase_count = phase_count;
    const auto records = method_records(facts);
    REQUIRE(records.size() == 7);
    for (const MethodRecord& record : records) {
      INFO(record.title);
      CHECK_FALSE(record.letters.empty());
      CHECK_FALSE(record.finding.empty());
      CHECK_FALSE(record.next_step.empty());
      CHECK(says(record.provenance, "second-hand"));
      CHECK(record.support != Support::supports);  // nothing is known, so nothing is supported
    }
  }
}

TEST_CASE("both lettering schemes stand side by side", "[routes]") {
  // (i)-(v) in A1:2020 and (a)-(e) later, BS 7671 regulation 722.411.4.1, second-hand.
  const struct {
    Method method;
    const char* roman;
    const char* latin;
  } expected[] = {{Method::three_phase_load, "(i)", "(a)"},
                  {Method::supplementary_electrode, "(ii)", "(b)"},
                  {Method::probe_device, "(iii)", "(c)"},
                  {Method::line_to_neutral_device, "(iv)", "(d)"},
                  {Method::equivalent_device, "(v)", "(e)"}};
  for (const auto& row : expected) {
    const MethodRecord record = record_of({}, row.method);
    CHECK(says(record.letters, row.roman));
    CHECK(says(record.letters, row.latin));
  }
}

TEST_CASE("the first method says that it is withdrawn somewhere, and by whom it is disputed", "[routes]") {
  MethodFacts facts = balanced_workshop();
  const MethodRecord held = record_of(facts, Method::three_phase_load);
  CHECK(held.support == Support::supports);
  CHECK(says(held.letters, "A2:2022"));
  CHECK(says(held.letters, "A4:2026"));
  facts.edition = "BS 7671:2018+A2:2022+A3:2024";
  CHECK(record_of(facts, Method::three_phase_load).support == Support::does_not_tell);
  facts.edition = "";
  CHECK(record_of(facts, Method::three_phase_load).support == Support::does_not_tell);
  facts.edition = "BS 7671:2018+A4:2026";
  const MethodRecord withdrawn = record_of(facts, Method::three_phase_load);
  CHECK(withdrawn.support == Support::contradicts);
  CHECK(says(withdrawn.finding, "withdrawn"));
}

TEST_CASE("the load alone is judged by every model, never by the rules' expression", "[routes]") {
  MethodFacts facts = balanced_workshop();
  supply::Requirement rules = requirement_with(supply::RequirementOutcome::limited);
  rules.is_rules_expression = true;
  facts.requirements.push_back(rules);
  CHECK(record_of(facts, Method::three_phase_load).support == Support::supports);
  facts.requirements.push_back(requirement_with(supply::RequirementOutcome::not_covered));
  CHECK(record_of(facts, Method::three_phase_load).support == Support::does_not_tell);
  facts.requirements.push_back(requirement_with(supply::RequirementOutcome::limited));
  const MethodRecord record = record_of(facts, Method::three_phase_load);
  CHECK(record.support == Support::contradicts);
  CHECK(says(record.finding, "2.75 ohm"));
  facts.phase_count = 1;
  CHECK(record_of(facts, Method::three_phase_load).support == Support::contradicts);
}

TEST_CASE("a blind case speaks against the line-to-neutral device with its numbers", "[routes]") {
  MethodFacts facts = balanced_workshop();
  facts.is_blind_case_sought = true;
  CHECK(record_of(facts, Method::line_to_neutral_device).support == Support::does_not_tell);
  facts.blind_case = supply::BlindCase{111.8, 230.0, {37.0, 65.0, 5.0}, {251.8, 147.9, 333.0}, {1}};
  const MethodRecord record = record_of(facts, Method::line_to_neutral_device);
  CHECK(record.support == Support::contradicts);
  CHECK(says(record.finding, "111.8 V"));
  CHECK(says(record.finding, "L1 reads 251.8 V"));
  facts.blind_case->met_v = 61.4;  // below the limit nothing is hidden
  const MethodRecord near = record_of(facts, Method::line_to_neutral_device);
  CHECK(near.support == Support::does_not_tell);
  CHECK(says(near.finding, "reaches 61.4 V at most"));
  MethodFacts single;
  single.is_blind_case_sought = true;
  CHECK(record_of(single, Method::line_to_neutral_device).support == Support::supports);
}

TEST_CASE("a good TT resistance alone does not make TT the answer", "[routes]") {
  MethodFacts facts;
  facts.tt_resistance = {Support::supports, "72 ohm x 30 mA = 2.16 V, within 50 V", ""};
  CHECK(record_of(facts, Method::tt_island).support == Support::does_not_tell);
  CHECK(says(record_of(facts, Method::tt_island).finding, "separation"));
  facts.tt_separation_m = 5.0;
  CHECK(record_of(facts, Method::tt_island).support == Support::does_not_tell);
  CHECK(says(record_of(facts, Method::tt_island).finding, "5 m"));
  facts.tt_resistance = {Support::contradicts, "2000 ohm x 30 mA = 60 V, above 50 V",
                         "lengthen the electrode"};
  CHECK(record_of(facts, Method::tt_island).support == Support::contradicts);
}

TEST_CASE("the electrode's judgement is carried as it is given", "[routes]") {
  MethodFacts facts;
  facts.electrode = {Support::contradicts, "21 ohm against 1.39 ohm", "none would decide otherwise"};
  const MethodRecord record = record_of(facts, Method::supplementary_electrode);
  CHECK(record.support == Support::contradicts);
  CHECK(record.finding == "21 ohm against 1.39 ohm");
  CHECK(record.next_step == "none would decide otherwise");
}

TEST_CASE("supports have names, and a supply of two phases is refused", "[routes]") {
  CHECK(support_name(Support::supports) == "supports");
  CHECK(support_name(Support::contradicts) == "contradicts");
  CHECK(support_name(Support::does_not_tell) == "does not tell");
  MethodFacts facts;
  facts.phase_count = 2;
  CHECK_THROWS_AS(method_records(facts), DomainError);
}

TEST_CASE("TT is contradicted by what bridges it, and each finding names its number and threshold",
          "[routes]") {
  // Three sites that differ in one input each.
  MethodFacts facts;
  facts.tt_resistance = {Support::supports, "R_A up to 80 ohm", ""};
  facts.tt_separation_m = 5.0;
  const auto tt = [&] {
    const auto records = method_records(facts);
    return *std::find_if(records.begin(), records.end(),
                         [](const MethodRecord& record) { return record.method == Method::tt_island; });
  };
  facts.tt_transferred_v = Estimate{30.0, 28.0, 33.0, "test"};
  CHECK(tt().support == Support::does_not_tell);  // the distributor has not confirmed it
  CHECK(tt().finding.find("28 to 33 V to the TT electrode, within 50 V") != std::string::npos);
  facts.tt_transferred_v = Estimate{50.0, 45.0, 55.0, "test"};
  CHECK(tt().support == Support::does_not_tell);
  CHECK(tt().finding.find("which may pass 50 V") != std::string::npos);
  facts.tt_transferred_v = Estimate{60.0, 55.0, 65.0, "test"};
  CHECK(tt().support == Support::contradicts);
  CHECK(tt().finding.find("55 to 65 V to the TT electrode, above 50 V") != std::string::npos);
  CHECK(tt().next_step.find("further from that metal") != std::string::npos);
  facts.tt_limit_v = 70.0;
  CHECK(tt().support == Support::does_not_tell);
  facts.within_reach = {"lamp post", "gate"};
  CHECK(tt().support == Support::contradicts);
  CHECK(tt().finding.find("within arm's reach of where the vehicle can stand: lamp post, gate") !=
        std::string::npos);
}

// Three sites that differ in one input give each answer; the number and its threshold stand in the finding.
TEST_CASE("a separated circuit is judged by its transformer", "[routes]") {
  MethodFacts facts;
  facts.charge_point_count = 1;
  facts.charge_point_va = 7360.0;
  CHECK(record_of(facts, Method::separated_circuit).support == Support::does_not_tell);
  facts.transformer_va = 8000.0;
  CHECK(record_of(facts, Method::separated_circuit).support == Support::supports);
  facts.transformer_va = 5000.0;
  const MethodRecord small = record_of(facts, Method::separated_circuit);
  CHECK(small.support == Support::contradicts);
  CHECK(says(small.finding, "7.36 kVA, against a transformer of 5 kVA"));
  facts.transformer_va = 80000.0;
  facts.charge_point_count = 2;  // one charge point to each source: BS 7671 722.413.1.2, second-hand
  CHECK(record_of(facts, Method::separated_circuit).support == Support::contradicts);
}

TEST_CASE("a probe's judgement is carried as it is given", "[routes]") {
  MethodFacts facts;
  facts.probe = {Support::supports, "acts at 55.6 V, limit 70 V", "none"};
  CHECK(record_of(facts, Method::probe_device).support == Support::supports);
  facts.probe.support = Support::contradicts;
  CHECK(record_of(facts, Method::probe_device).support == Support::contradicts);
}

TEST_CASE("another device is what no data can contradict, with the reason", "[routes]") {
  const MethodRecord record = record_of(balanced_workshop(), Method::equivalent_device);
  CHECK(record.support == Support::does_not_tell);
  CHECK(says(record.finding, "maker's evidence"));
}

TEST_CASE("TT is supported only with resistance, separation, reach and bridging all known", "[routes]") {
  MethodFacts facts;
  facts.tt_resistance = {Support::supports, "20 ohm x 30 mA = 0.6 V, within 50 V", ""};
  facts.tt_separation_m = 12.0;
  facts.tt_transferred_v = Estimate{5.0, 4.0, 6.0, "field solution"};
  facts.is_reach_checked = true;
  facts.unchecked_bridge_count = 0;
  CHECK(record_of(facts, Method::tt_island).support == Support::supports);
  MethodFacts changed = facts;
  changed.is_reach_checked = false;
  CHECK(record_of(changed, Method::tt_island).support == Support::does_not_tell);
  changed = facts;
  changed.tt_transferred_v.reset();
  CHECK(record_of(changed, Method::tt_island).support == Support::does_not_tell);
  changed = facts;
  changed.tt_transferred_v = Estimate{60.0, 55.0, 66.0, "field solution"};
  CHECK(record_of(changed, Method::tt_island).support == Support::contradicts);
  changed = facts;
  changed.tt_resistance.support = Support::does_not_tell;
  CHECK(record_of(changed, Method::tt_island).support == Support::does_not_tell);
  changed = facts;
  changed.within_reach = {"lamp post"};
  CHECK(record_of(changed, Method::tt_island).support == Support::contradicts);
}

TEST_CASE("methods have words that read back, and say whom they protect", "[routes]") {
  for (std::size_t i = 0; i < method_words().size(); ++i) {
    const auto method = static_cast<Method>(i);
    CHECK(method_named(method_word(method)) == method);
    CHECK(what_it_protects(method).size() > 30);
  }
  CHECK_FALSE(method_named("magic"));
}
