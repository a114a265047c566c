// SPDX-License-Identifier: MIT
#include "circuit_rows.hpp"
#include "helpers.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>

using namespace ohmroot;
using namespace ohmroot::supply;

namespace {

RequirementQuestion single_phase(double current_a) {
  RequirementQuestion question;
  question.loads = {load_of(current_a)};
  return question;
}

RequirementQuestion at_voltage(RequirementQuestion question, double source_v) {
  question.supply.lowest_v = question.supply.highest_v = source_v;
  return question;
}

RequirementQuestion three_phase(const std::array<double, 3>& current_a) {
  RequirementQuestion question;
  question.supply.phase_count = 3;
  for (int phase = 1; phase <= 3; ++phase) {
    Load load = load_of(current_a[static_cast<std::size_t>(phase - 1)]);
    load.phase = phase;
    question.loads.push_back(load);
  }
  return question;
}

/// The very currents, not a range up to them.
RequirementQuestion fixed(RequirementQuestion question) {
  for (Load& load : question.loads)
    load.least_current_a = load.greatest_current_a;
  return question;
}

}  // namespace

TEST_CASE("a load of 32 A needs 2.75, 2.19 or 1.39 ohm over 216.2 to 253 V, by model", "[supply]") {
  // 70 U0 / (I (E - 70)) at 253 V; 70 / I; 70 (E - 70) / (U0 I) at 216.2 V: circuit theory.
  const auto all = requirements(single_phase(32.0));
  REQUIRE(all.size() == 4);
  CHECK(all[0].resistance_ohm == Approx(2.74931694).epsilon(1e-8));
  CHECK(all[0].at_source_v == 253.0);
  CHECK(all[0].expression == "70 V x 230 V / (32 A x (253 V - 70 V)) = 2.75 ohm");
  CHECK(all[1].resistance_ohm == Approx(2.1875).epsilon(1e-12));
  CHECK(all[1].expression == "70 V / 32 A = 2.19 ohm");
  CHECK(all[2].resistance_ohm == Approx(1.390489130).epsilon(1e-8));
  CHECK(all[2].at_source_v == 216.2);
  CHECK(all[2].expression == "70 V x (216.2 V - 70 V) / (230 V x 32 A) = 1.39 ohm");
  CHECK(all[3].is_rules_expression);
  CHECK_FALSE(all[3].model);
  CHECK(all[3].resistance_ohm == Approx(2.74931694).epsilon(1e-8));
  CHECK(all[3].expression == "70 V x 230 V / (32 A x (1.1 x 230 V - 70 V)) = 2.75 ohm");
  CHECK(all[3].source.find("from memory") != std::string::npos);
  for (const Requirement& requirement : all) {
    CHECK(requirement.outcome == RequirementOutcome::limited);
    REQUIRE(requirement.at_current_a.size() == 1);
    CHECK(requirement.at_current_a[0] == 32.0);
  }
  const RequirementSpan span = span_of(all);
  CHECK(span.strictest->name == "constant power");
  CHECK(span.most_lenient->name == "constant impedance");
  CHECK_FALSE(span.has_uncovered);
}

TEST_CASE("one-phase requirements at 253 V follow the closed forms", "[supply]") {
  // Closed forms as above, values to nine figures.
  struct Row {
    double current_a, impedance_ohm, current_ohm, power_ohm;
  };
  for (const Row& row :
       {Row{6, 14.6630237, 11.6666667, 9.2826087}, Row{13, 6.76754939, 5.38461538, 4.28428094},
        Row{20, 4.3989071, 3.5, 2.78478261}, Row{32, 2.74931694, 2.1875, 1.74048913},
        Row{45, 1.95506982, 1.55555556, 1.23768116}, Row{60, 1.46630237, 1.16666667, 0.92826087},
        Row{80, 1.09972678, 0.875, 0.696195652}}) {
    const auto all = requirements(at_voltage(single_phase(row.current_a), 253.0));
    CHECK(named(all, "constant impedance").resistance_ohm == Approx(row.impedance_ohm).epsilon(1e-6));
    CHECK(named(all, "constant current").resistance_ohm == Approx(row.current_ohm).epsilon(1e-6));
    CHECK(named(all, "constant power").resistance_ohm == Approx(row.power_ohm).epsilon(1e-6));
  }
}

TEST_CASE("the governing end of the voltage range depends on the load model", "[supply]") {
  // Closed forms at 216.2, 230 and 253 V.
  struct Row {
    double current_a;
    std::array<double, 3> power_ohm, impedance_ohm;
    double current_ohm;
  };
  const std::array<double, 3> source_v{216.2, 230.0, 253.0};
  for (const Row& row :
       {Row{16, {2.78097826, 3.04347826, 3.48097826}, {6.88269494, 6.2890625, 5.49863388}, 4.375},
        Row{40, {1.1123913, 1.2173913, 1.3923913}, {2.75307798, 2.515625, 2.19945355}, 1.75}}) {
    for (std::size_t k = 0; k < source_v.size(); ++k) {
      const auto all = requirements(at_voltage(single_phase(row.current_a), source_v[k]));
      CHECK(named(all, "constant power").resistance_ohm == Approx(row.power_ohm[k]).epsilon(1e-6));
      CHECK(named(all, "constant impedance").resistance_ohm == Approx(row.impedance_ohm[k]).epsilon(1e-6));
      CHECK(named(all, "constant current").resistance_ohm == Approx(row.current_ohm).epsilon(1e-6));
    }
    const auto all = requirements(single_phase(row.current_a));
    CHECK(named(all, "constant power").resistance_ohm == Approx(row.power_ohm[0]).epsilon(1e-6));
    CHECK(named(all, "constant impedance").resistance_ohm == Approx(row.impedance_ohm[2]).epsilon(1e-6));
  }
}

TEST_CASE("own electrodes for 70 V come out as computed independently", "[supply]") {
  for (const rows::Row& row : rows::computed_rows()) {
    if (row.own_electrode_ohm == rows::not_asked) continue;
    INFO(row.name);
    RequirementQuestion question;
    question.supply.phase_count = 3;
    question.supply.lowest_v = question.supply.highest_v = row.source_v;
    question.supply.is_sequence_reversed = row.is_sequence_reversed;
    question.supply.source_earth_ohm = row.source_earth_ohm;
    for (const rows::RowLoad& row_load : row.loads) {
      Load load = load_of(row_load.current_a);
      load.phase = row_load.phase;
      load.least_current_a = row_load.current_a;
      load.power_factor_ratio = row_load.power_factor_ratio;
      load.is_leading = row_load.is_leading;
      load.stated_model = row_load.model;
      load.model_basis = "as the row states it";
      question.loads.push_back(load);
    }
    const auto all = requirements(question);
    REQUIRE(all.size() == 2);  // every load states its model
    if (row.own_electrode_ohm == rows::nothing_needed) {
      CHECK(all[0].outcome == RequirementOutcome::none_needed);
      continue;
    }
    REQUIRE(all[0].outcome == RequirementOutcome::limited);
    double own_s = 1.0 / all[0].resistance_ohm;  // the requirement is on all paths together
    for (const double path_ohm : row.other_path_ohm)
      own_s -= 1.0 / path_ohm;
    CHECK(1.0 / own_s == Approx(row.own_electrode_ohm).epsilon(rows::relative_tolerance));
  }
}

TEST_CASE("three-phase requirements follow 70 U0 / (E I_N - 70 sum I)", "[supply]") {
  // Derived; it becomes the single-phase expression of BS 7671 Annex A722.3 (from memory) for one phase.
  struct Row {
    std::array<double, 3> current_a;
    double resistance_ohm;  // 0: none needed
  };
  for (const Row& row : {Row{{40, 30, 20}, 0.0}, Row{{80, 32, 0}, 1.64204903}, Row{{100, 60, 40}, 0.0},
                         Row{{52, 18, 22}, 9.45224348}}) {
    const auto all = requirements(at_voltage(fixed(three_phase(row.current_a)), 253.0));
    for (const char* name : {"constant impedance", "rules' expression"}) {
      const Requirement& requirement = named(all, name);
      CHECK((requirement.outcome == RequirementOutcome::none_needed) == (row.resistance_ohm == 0.0));
      CHECK(requirement.resistance_ohm == Approx(row.resistance_ohm).epsilon(1e-6));
    }
    // Constant power leans on the largest phase more, so it never needs less.
    const Requirement& power = named(all, "constant power");
    CHECK_FALSE(power.why.empty());
    if (row.resistance_ohm > 0.0) {
      REQUIRE(power.outcome == RequirementOutcome::limited);
      CHECK(power.resistance_ohm < row.resistance_ohm);
    }
    CHECK_FALSE(span_of(all).has_uncovered);
  }
}

TEST_CASE("half hours of an invented home need what was computed independently", "[supply]") {
  const std::array<std::array<double, 3>, 6> current_a{
      {{4, 3, 5}, {6, 10, 4}, {12, 8, 9}, {52, 15, 18}, {41, 7, 11}, {35, 2, 4}}};
  const std::array<double, 6> own_ohm{0, 0, 0, 5.26915102, 4.01166189, 3.07377986};  // 0: none needed
  for (std::size_t k = 0; k < current_a.size(); ++k) {
    const auto all = requirements(at_voltage(fixed(three_phase(current_a[k])), 253.0));
    CHECK(named(all, "constant impedance").resistance_ohm == Approx(own_ohm[k]).epsilon(1e-5));
  }
}

TEST_CASE("without an evidenced minimum the largest phase alone governs all three models", "[supply]") {
  const auto all = requirements(three_phase({40.0, 60.0, 20.0}));
  const auto alone = requirements(single_phase(60.0));
  for (const char* name : {"constant impedance", "constant current", "constant power"}) {
    const Requirement& requirement = named(all, name);
    CHECK(requirement.resistance_ohm == Approx(named(alone, name).resistance_ohm).epsilon(1e-12));
    CHECK(requirement.at_current_a == std::vector<double>{0.0, 60.0, 0.0});
  }
  // The rules' expression takes the greatest currents of all phases at once and is the weaker number here.
  CHECK(named(all, "rules' expression").resistance_ohm > named(all, "constant impedance").resistance_ohm);
}

TEST_CASE("an evidenced minimum on the other phases relaxes the requirement", "[supply]") {
  // 32 A on top of a balanced base that must hold the star point: 27.9 A per phase without an electrode and
  // 20.2 A with 10 ohm, at 253 V (derived; see also the test of balanced_base_a).
  for (const double base_a : {27.0, 28.8}) {
    RequirementQuestion question = three_phase({base_a, base_a, base_a});
    for (Load& load : question.loads) {
      load.least_current_a = base_a;
      load.stated_model = LoadModel::constant_impedance;
    }
    Load charge = load_of(32.0);
    charge.stated_model = LoadModel::constant_impedance;
    question.loads.push_back(charge);
    const auto all = requirements(question);
    CHECK((all[0].outcome == RequirementOutcome::none_needed) == (base_a > 27.9));
    // A gap in the base on phase 2 is worse than the full one.
    question.loads[1].least_current_a = 0.0;
    const auto gap = requirements(question);
    REQUIRE(gap[0].outcome == RequirementOutcome::limited);
    CHECK(gap[0].at_current_a[1] == 0.0);
    CHECK(gap[0].at_current_a[3] == 32.0);
  }
}

TEST_CASE("a ceiling makes constant power need what constant current does", "[supply]") {
  RequirementQuestion question = single_phase(32.0);
  question.loads[0].current_ceiling_a = 32.0;
  const auto all = requirements(question);
  CHECK(named(all, "constant power").resistance_ohm == Approx(2.1875).epsilon(1e-12));
  question.loads[0].current_ceiling_a = 40.0;
  // 32 A of constant power at 216.2 V would draw 32 x 230 / 146.2 = 50.3 A: held at 40 A.
  CHECK(named(requirements(question), "constant power").resistance_ohm == Approx(70.0 / 40.0).epsilon(1e-12));
}

TEST_CASE("a ceiling beside constant impedance puts the worst voltage inside the range", "[supply]") {
  // Below 184 V across it, the 32 A load holds 40 A; the impedance draws ever less. So the worst source
  // voltage is 184 + 70 = 254 V, where the two currents are 40 A and 20 x 184 / 230 A: circuit theory.
  RequirementQuestion question = single_phase(32.0);
  question.supply.lowest_v = 240.0;
  question.supply.highest_v = 300.0;
  question.loads[0].current_ceiling_a = 40.0;
  question.loads[0].stated_model = LoadModel::constant_power;
  question.loads.push_back(load_of(20.0));
  question.loads[1].stated_model = LoadModel::constant_impedance;
  const auto all = requirements(question);
  CHECK(all[0].name == "stated load models");
  CHECK(all[0].at_source_v == Approx(254.0).epsilon(1e-6));
  CHECK(all[0].resistance_ohm == Approx(70.0 / (40.0 + 16.0)).epsilon(1e-6));
  CHECK(all[0].why.find("search") != std::string::npos);
}

TEST_CASE("a mix of power factors follows the triangle of voltages", "[supply]") {
  // E^2 = u^2 + 70^2 + 2 u 70 cos(phi) for one power factor; 70 / |I| at that u: circuit theory.
  RequirementQuestion question = at_voltage(single_phase(40.0), 253.0);
  question.loads[0].power_factor_ratio = 0.8;
  const double load_v = -70.0 * 0.8 + std::sqrt(253.0 * 253.0 - 70.0 * 70.0 * 0.36);
  for (const bool is_leading : {false, true}) {
    question.loads[0].is_leading = is_leading;
    const auto all = requirements(question);
    CHECK(named(all, "constant impedance").resistance_ohm == Approx(70.0 * 230.0 / (40.0 * load_v)));
    CHECK(named(all, "constant current").resistance_ohm == Approx(1.75).epsilon(1e-12));
    CHECK(named(all, "constant power").resistance_ohm == Approx(70.0 * load_v / (40.0 * 230.0)));
  }
}

TEST_CASE("a limit that the load cannot reach ends where its operating point does", "[supply]") {
  RequirementQuestion question = at_voltage(single_phase(32.0), 216.2);
  question.limit_v = 150.0;  // constant power loses its footing at half of 216.2 V
  const auto all = requirements(question);
  CHECK(named(all, "constant power").resistance_ohm ==
        Approx(216.2 * 216.2 / (4.0 * 230.0 * 32.0)).epsilon(1e-9));
  CHECK(named(all, "constant power").expression.find("operating point") != std::string::npos);
  question.limit_v = 230.0;  // above the source: nothing can go wrong with constant impedance
  CHECK(named(requirements(question), "constant impedance").outcome == RequirementOutcome::none_needed);
}

TEST_CASE("a source earth can leave constant power without any electrode that would do", "[supply]") {
  RequirementQuestion question = single_phase(32.0);
  CHECK(named(requirements(question), "constant power").why.find("source earth") != std::string::npos);
  question.supply.source_earth_ohm = 5.0;  // above 216.2^2 / (4 x 7360) = 1.588 ohm
  const auto all = requirements(question);
  CHECK(named(all, "constant power").outcome == RequirementOutcome::none_suffices);
  CHECK(named(all, "constant impedance").resistance_ohm ==
        Approx(4.66188525).epsilon(1e-5));  // circuit_rows.hpp
  CHECK(named(all, "rules' expression").resistance_ohm == Approx(2.74931694).epsilon(1e-6));
  const RequirementSpan span = span_of(all);
  CHECK(span.strictest->name == "constant power");
  CHECK(span.most_lenient->name == "constant impedance");
}

TEST_CASE("a stated load model leaves the others out", "[supply]") {
  RequirementQuestion question = single_phase(20.0);
  question.loads[0].stated_model = LoadModel::constant_impedance;
  const auto stated = requirements(question);
  REQUIRE(stated.size() == 2);
  CHECK(stated[0].name == "constant impedance");
  CHECK(stated[0].model == LoadModel::constant_impedance);
  // Beside a load without a statement all three models are tried, and the stated one keeps its own:
  // under constant current, I = 12 + 20 (E - 70) / 230 at 253 V.
  question.loads.push_back(load_of(12.0));
  const auto mixed = requirements(question);
  REQUIRE(mixed.size() == 4);
  CHECK(named(mixed, "constant current").resistance_ohm == Approx(70.0 / (12.0 + 20.0 * 183.0 / 230.0)));
}

TEST_CASE("what no solver here decides is said so", "[supply]") {
  RequirementQuestion question = three_phase({1.0, 1.0, 1.0});
  question.loads.clear();
  for (int k = 0; k < 20; ++k) {
    Load load = load_of(5.0);
    load.phase = k % 3 + 1;
    load.power_factor_ratio = 0.7 + 0.01 * k;
    question.loads.push_back(load);
  }
  CHECK(named(requirements(question), "constant impedance").outcome == RequirementOutcome::not_covered);
  CHECK(span_of({named(requirements(question), "constant impedance")}).strictest == nullptr);
}

TEST_CASE("a question outside its ranges is refused with the field named", "[supply]") {
  const auto refused = [](auto spoil) {
    RequirementQuestion question = single_phase(32.0);
    spoil(question);
    try {
      static_cast<void>(requirements(question));
    } catch (const DomainError& error) {
      return error.argument();
    }
    return std::string("accepted");
  };
  CHECK(refused([](RequirementQuestion&) {}) == "accepted");
  CHECK(refused([](RequirementQuestion& q) { q.loads.clear(); }) == "loads");
  CHECK(refused([](RequirementQuestion& q) { q.loads[0].greatest_current_a = 0.0; }) == "loads");
  CHECK(refused([](RequirementQuestion& q) { q.supply.lowest_v = 260.0; }) == "supply.lowest_v");
  CHECK(refused([](RequirementQuestion& q) { q.supply.phase_count = 2; }) == "supply.phase_count");
  CHECK(refused([](RequirementQuestion& q) { q.loads[0].phase = 2; }) == "load.phase");
  CHECK(refused([](RequirementQuestion& q) { q.loads[0].least_current_a = 40.0; }) == "load.least_current_a");
  CHECK(refused([](RequirementQuestion& q) { q.limit_v = 0.0; }) == "limit_v");
  CHECK(refused([](RequirementQuestion& q) { q.limit_v = std::nan(""); }) == "limit_v");
  CHECK(refused([](RequirementQuestion& q) { q.loads[0].power_factor_ratio = 1.2; }) ==
        "load.power_factor_ratio");
  CHECK(refused([](RequirementQuestion& q) { q.loads[0].current_ceiling_a = 16.0; }) ==
        "load.current_ceiling_a");
}

TEST_CASE("the supply's default voltages are the statutory range", "[supply][published]") {
  // ESQCR 2002 regulation 27(3), 230 V +10 % / -6 %, quoted second-hand from a trade journal article.
  const Supply supply;
  CHECK(supply.lowest_v == Approx(0.94 * supply.nominal_v));
  CHECK(supply.highest_v == Approx(1.10 * supply.nominal_v));
  CHECK(supply.lowest_v == 216.2);
  CHECK(supply.highest_v == 253.0);
}

TEST_CASE("more intervals than are searched are said to be too many, with what to do", "[supply]") {
  RequirementQuestion question;
  question.supply.phase_count = 3;
  for (int k = 0; k < 14; ++k) {
    Load load = load_of(4.0);
    load.phase = k % 3 + 1;
    load.power_factor_ratio = 1.0 - 0.01 * (k + 1);
    load.stated_model = LoadModel::constant_impedance;
    question.loads.push_back(load);
  }
  const Requirement too_many = requirements(question).front();
  CHECK(too_many.outcome == RequirementOutcome::not_covered);
  CHECK(too_many.why.find("15 intervals") != std::string::npos);
  CHECK(too_many.why.find("no more than 14") != std::string::npos);
  // The source voltage without an interval leaves room for the fourteenth group.
  question.supply.lowest_v = question.supply.highest_v;
  CHECK(requirements(question).front().outcome != RequirementOutcome::not_covered);
}
