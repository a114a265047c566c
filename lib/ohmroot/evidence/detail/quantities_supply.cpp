// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/published.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <fmt/format.h>

#include <array>
#include <numbers>

namespace ohmroot::evidence::detail {

namespace {

using supply::LoadModel;

constexpr Word<LoadModel> model_words[] = {
    {"constant_impedance", LoadModel::constant_impedance},
    {"constant_current", LoadModel::constant_current},
    {"constant_power", LoadModel::constant_power},
};

constexpr Word<bool> yes_words[] = {{"yes", true}, {"no", false}};

constexpr std::string_view load_keys[] = {"phase", "current_a", "power_factor_ratio", "is_leading", "model"};

bool yes_in(const Given& given, std::string_view key) {
  return meaning_of(given.text_or(key, "no"), yes_words);
}

std::vector<supply::DefiniteLoad> loads_in(const Given& given) {
  std::vector<supply::DefiniteLoad> loads;
  for (const Given& row : given.tables("loads")) {
    row.allow(load_keys);
    supply::DefiniteLoad load;
    load.phase = row.has("phase") ? row.count("phase") : 1;
    load.current_a = row.number("current_a");
    load.power_factor_ratio = row.number_or("power_factor_ratio", 1.0);
    load.is_leading = yes_in(row, "is_leading");
    load.model = meaning_of(row.text_or("model", "constant_impedance"), model_words);
    loads.push_back(load);
  }
  return loads;
}

supply::OpenPenCircuit circuit_in(const Given& given) {
  supply::OpenPenCircuit circuit;
  circuit.source_v = given.number("source_v");
  circuit.nominal_v = given.number_or("nominal_v", 230.0);
  circuit.is_sequence_reversed = yes_in(given, "is_sequence_reversed");
  circuit.source_earth_ohm = given.number_or("source_earth_ohm", 0.0);
  if (given.has("earth_path_ohm")) {
    circuit.earth_path_ohm = given.numbers("earth_path_ohm");
  }
  circuit.loads = loads_in(given);
  return circuit;
}

supply::OpenPenState solved_state_of(const supply::OpenPenCircuit& circuit) {
  supply::OpenPenState state = supply::open_pen_state(circuit);
  if (state.status != supply::OpenPenStatus::solved) {
    throw NotComputable(state.why);
  }
  return state;
}

text::Value status_of(const supply::OpenPenCircuit& circuit) {
  const supply::OpenPenState state = supply::open_pen_state(circuit);
  switch (state.status) {
  case supply::OpenPenStatus::solved:
    return "solved";
  case supply::OpenPenStatus::no_operating_point:
    return "no operating point";
  case supply::OpenPenStatus::not_covered:
    throw NotComputable(state.why);
  }
  throw NotComputable("a state without a name");
}

/// The question at one definite voltage and load; every load of one stated model.
supply::RequirementQuestion question_in(const Given& given) {
  supply::RequirementQuestion question;
  question.limit_v = given.number_or("limit_v", 70.0);
  question.supply.nominal_v = given.number_or("nominal_v", 230.0);
  question.supply.lowest_v = given.number_or("lowest_source_v", given.number("source_v"));
  question.supply.highest_v = given.number("source_v");
  question.supply.is_sequence_reversed = yes_in(given, "is_sequence_reversed");
  question.supply.source_earth_ohm = given.number_or("source_earth_ohm", 0.0);
  for (const supply::DefiniteLoad& definite : loads_in(given)) {
    question.supply.phase_count = definite.phase > 1 ? 3 : question.supply.phase_count;
    supply::Load load;
    load.phase = definite.phase;
    load.least_current_a = definite.current_a;
    load.greatest_current_a = definite.current_a;
    load.power_factor_ratio = definite.power_factor_ratio;
    load.is_leading = definite.is_leading;
    load.stated_model = definite.model;
    load.model_basis = "as stated in the row";
    load.minimum_basis = "as stated in the row";
    question.loads.push_back(load);
  }
  return question;
}

supply::Requirement physical_requirement_in(const Given& given) {
  for (const supply::Requirement& requirement : supply::requirements(question_in(given))) {
    if (!requirement.is_rules_expression) {
      if (requirement.outcome == supply::RequirementOutcome::not_covered) {
        throw NotComputable(requirement.why);
      }
      return requirement;
    }
  }
  throw NotComputable("no requirement besides the rules' expression");
}

double limited_ohm(const supply::Requirement& requirement) {
  if (requirement.outcome != supply::RequirementOutcome::limited) {
    throw NotComputable("the requirement is no resistance: " + requirement.why);
  }
  return requirement.resistance_ohm;
}

/// Largest resistance of the own electrode while the other paths stay: conductances subtract.
double own_electrode_ohm(const Given& given) {
  double conductance_s = 1.0 / limited_ohm(physical_requirement_in(given));
  if (given.has("other_path_ohm")) {
    for (double other_ohm : given.numbers("other_path_ohm")) {
      conductance_s -= 1.0 / other_ohm;
    }
  }
  return 1.0 / conductance_s;
}

text::Value outcome_in(const Given& given) {
  switch (physical_requirement_in(given).outcome) {
  case supply::RequirementOutcome::limited:
    return "limited";
  case supply::RequirementOutcome::none_needed:
    return "none needed";
  case supply::RequirementOutcome::none_suffices:
    return "none suffices";
  case supply::RequirementOutcome::not_covered:
    break;
  }
  throw NotComputable("an outcome without a name");
}

double rules_expression_ohm(const Given& given) {
  for (const supply::Requirement& requirement : supply::requirements(question_in(given))) {
    if (requirement.is_rules_expression) {
      return limited_ohm(requirement);
    }
  }
  throw NotComputable("the rules' expression is not among the requirements");
}

/// A star of three impedances with an open or resistive neutral, as circuit texts print it: load and series
/// resistance per branch, any voltage scale (peak values in, peak values out).
supply::OpenPenState star_state_in(const Given& given) {
  supply::OpenPenCircuit circuit;
  circuit.source_v = given.number("source_v");
  circuit.nominal_v = circuit.source_v;
  circuit.earth_path_ohm = {given.number("neutral_ohm")};
  int phase = 1;
  for (double load_ohm : given.numbers("load_ohm")) {
    supply::DefiniteLoad load;
    load.phase = phase++;
    load.current_a = circuit.nominal_v / (load_ohm + given.number_or("series_ohm", 0.0));
    circuit.loads.push_back(load);
  }
  return solved_state_of(circuit);
}

/// Voltage across the load itself, on the branches asked for (all of them if none is named).
text::Value star_load_v(const Given& given) {
  const supply::OpenPenState state = star_state_in(given);
  const std::vector<double> load_ohm = given.numbers("load_ohm");
  const std::vector<double> branches =
      given.has("branches") ? given.numbers("branches") : std::vector<double>{1.0, 2.0, 3.0};
  std::vector<double> load_v;
  for (double branch : branches) {
    const auto index = static_cast<std::size_t>(branch) - 1;
    const double whole_ohm = load_ohm.at(index) + given.number_or("series_ohm", 0.0);
    load_v.push_back(state.line_to_neutral_v.at(index) * load_ohm[index] / whole_ohm);
  }
  return list_of(load_v);
}

std::array<double, 3> three_in(const Given& given, std::string_view key) {
  const std::vector<double> numbers = given.numbers(key);
  if (numbers.size() != 3) {
    throw NotComputable(fmt::format("'{}' must hold three numbers", key));
  }
  return {numbers[0], numbers[1], numbers[2]};
}

/// "no yes yes": which phases a device watching the voltage window would act on.
text::Value outside_window(const supply::OpenPenState& state) {
  std::string words;
  for (bool is_outside : supply::is_outside_window(state.line_to_neutral_v)) {
    words += (words.empty() ? "" : " ") + std::string(is_outside ? "yes" : "no");
  }
  return words;
}

double balanced_base_a(const Given& given) {
  supply::ChargeOnBalancedBase charge;
  charge.charge_current_a = given.number("charge_current_a");
  charge.source_v = given.number("source_v");
  if (given.has("earth_path_ohm")) {
    charge.earth_resistance_ohm = given.number("earth_path_ohm");
  }
  return supply::balanced_base_a(charge);
}

Quantity state_quantity(std::string name, std::string unit,
                        std::function<text::Value(const supply::OpenPenState&)> pick) {
  return {"supply." + std::move(name), std::move(unit),
          "source_v, nominal_v?, is_sequence_reversed?, source_earth_ohm?, earth_path_ohm?, loads",
          Comparison::equal, [pick](const Given& given) { return pick(solved_state_of(circuit_in(given))); }};
}

std::vector<Quantity> state_quantities() {
  using State = supply::OpenPenState;
  std::vector<Quantity> all = {
      state_quantity("met_v", "V (real, imaginary)",
                     [](const State& state) {
                       const double parts[] = {state.met_v.real(), state.met_v.imag()};
                       return list_of(parts);
                     }),
      state_quantity("met_magnitude_v", "V",
                     [](const State& state) -> text::Value { return std::abs(state.met_v); }),
      state_quantity("star_point_magnitude_v", "V",
                     [](const State& state) -> text::Value { return std::abs(state.star_point_v); }),
      state_quantity("line_to_neutral_v", "V",
                     [](const State& state) { return list_of(state.line_to_neutral_v); }),
      state_quantity("electrode_current_a", "A",
                     [](const State& state) -> text::Value { return state.electrode_current_a; }),
      state_quantity("electrode_power_w", "W",
                     [](const State& state) -> text::Value { return state.electrode_power_w; }),
      state_quantity("path_current_a", "A", [](const State& state) { return list_of(state.path_current_a); }),
      state_quantity("path_power_w", "W", [](const State& state) { return list_of(state.path_power_w); }),
      state_quantity("outside_window", "yes or no, per phase", outside_window),
  };
  Quantity status = state_quantity("status", "words", nullptr);
  status.compute = [](const Given& given) { return status_of(circuit_in(given)); };
  all.push_back(status);
  return all;
}

std::vector<Quantity> requirement_quantities() {
  const std::string takes = "source_v, lowest_source_v?, nominal_v?, limit_v?, is_sequence_reversed?, "
                            "source_earth_ohm?, other_path_ohm?, loads";
  const std::string star = "source_v, load_ohm, series_ohm?, neutral_ohm";
  return {
      {"supply.required_ohm", "ohm", takes, Comparison::equal,
       [](const Given& given) -> text::Value { return own_electrode_ohm(given); }},
      {"supply.required_outcome", "words", takes, Comparison::equal, outcome_in},
      {"supply.rules_expression_ohm", "ohm", takes, Comparison::equal,
       [](const Given& given) -> text::Value { return rules_expression_ohm(given); }},
      {"supply.star_neutral_magnitude_v", "V", star, Comparison::equal,
       [](const Given& given) -> text::Value { return std::abs(star_state_in(given).met_v); }},
      {"supply.star_neutral_angle_deg", "degrees", star, Comparison::equal,
       [](const Given& given) -> text::Value {
         return std::arg(star_state_in(given).met_v) * 180.0 / std::numbers::pi;
       }},
      {"supply.star_load_v", "V", star + ", branches?", Comparison::equal, star_load_v},
  };
}

std::vector<Quantity> published_quantities() {
  return {
      {"supply.neutral_current_as_printed_a", "A", "phase_current_a", Comparison::equal,
       [](const Given& given) -> text::Value {
         return supply::neutral_current_as_printed_a(three_in(given, "phase_current_a"));
       }},
      {"supply.neutral_current_a", "A", "phase_current_a", Comparison::equal,
       [](const Given& given) -> text::Value {
         return supply::neutral_current_a(three_in(given, "phase_current_a"));
       }},
      {"supply.balanced_base_a", "A", "charge_current_a, source_v, earth_path_ohm?", Comparison::equal,
       [](const Given& given) -> text::Value { return balanced_base_a(given); }},
      {"supply.device_window_v", "V (least, greatest)", "", Comparison::equal,
       [](const Given&) {
         const double ends[] = {supply::VoltageWindow{}.least_v, supply::VoltageWindow{}.greatest_v};
         return list_of(ends);
       }},
      {"supply.voltage_range_v", "V (least, greatest)", "", Comparison::equal,
       [](const Given&) {
         const double ends[] = {supply::Supply{}.lowest_v, supply::Supply{}.highest_v};
         return list_of(ends);
       }},
  };
}

}  // namespace

std::vector<Quantity> supply_quantities() {
  std::vector<Quantity> all;
  for (auto offer : {state_quantities, requirement_quantities, published_quantities}) {
    for (Quantity& quantity : offer()) {
      all.push_back(std::move(quantity));
    }
  }
  return all;
}

}  // namespace ohmroot::evidence::detail
