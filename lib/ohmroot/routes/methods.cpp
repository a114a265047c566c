// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/methods.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace ohmroot::routes {

namespace {

using supply::Requirement;
using supply::RequirementOutcome;

constexpr const char* second_hand = "quoted second-hand, not checked against the licensed text";
constexpr const char* withdrawal_dispute = "this method is withdrawn in some later edition, and the sources "
                                           "disagree which: one says A2:2022, another "
                                           "A4:2026";

struct Letters {
  const char* roman;
  const char* latin;
};
std::string clause_letters(const Letters& letters) {
  return fmt::format("722.411.4.1 ({}) in the lettering of A1:2020, ({}) in the later one", letters.roman,
                     letters.latin);
}

enum class Standing { stands, disputed, withdrawn };
Standing standing_of_three_phase_method(const std::string& edition) {
  const auto names = [&edition](const char* amendment) {
    return edition.find(amendment) != std::string::npos;
  };
  if (names("A4")) return Standing::withdrawn;
  if (names("A2") || names("A3") || edition.empty()) return Standing::disputed;
  return Standing::stands;
}

std::string need_in_words(const Requirement& requirement) {
  if (requirement.outcome == RequirementOutcome::none_suffices) {
    return fmt::format("under {} no electrode keeps it", requirement.name);
  }
  return fmt::format("under {} it would take an electrode of at most {} ohm", requirement.name,
                     format_number(requirement.resistance_ohm, 3));
}

std::string met_in_words(const MethodFacts& facts) {
  if (!facts.met_without_electrode_v) return {};
  return fmt::format("; at the worst corner under constant impedance it stands at {:.3g} V",
                     *facts.met_without_electrode_v);
}

/// Whether the load alone holds the star point. The rules' expression is no state of the circuit and is left out.
Judgement load_alone(const MethodFacts& facts) {
  const std::string next_step =
      "log the current and power factor of every phase, one minute apart or closer, for at least a week with "
      "its nights: the lowest base load with the charge point on decides, not the highest demand";
  const auto worst_first = [](const Requirement& a, const Requirement& b) {
    return a.resistance_ohm < b.resistance_ohm;
  };
  std::vector<Requirement> undercut;
  std::vector<Requirement> undecided;
  int held_count = 0;
  for (const Requirement& requirement : facts.requirements) {
    if (requirement.is_rules_expression) continue;
    if (requirement.outcome == RequirementOutcome::none_needed)
      ++held_count;
    else
      (requirement.outcome == RequirementOutcome::not_covered ? undecided : undercut).push_back(requirement);
  }
  const std::string limit = fmt::format("{:.4g} V", facts.limit_v);
  if (!undercut.empty()) {
    const Requirement& worst = *std::min_element(undercut.begin(), undercut.end(), worst_first);
    return {Support::contradicts,
            fmt::format("the loads as stated do not hold the MET within {} by themselves: {}{}", limit,
                        need_in_words(worst), met_in_words(facts)),
            next_step};
  }
  if (!undecided.empty()) {
    return {Support::does_not_tell,
            fmt::format("under {} it is not decided here: {}", undecided.front().name, undecided.front().why),
            next_step};
  }
  if (held_count == 0) return {Support::does_not_tell, "the loads are not known", next_step};
  return {
      Support::supports,
      fmt::format("the loads as stated hold the MET within {} without an electrode, under every load model "
                  "that applies{}",
                  limit, met_in_words(facts)),
      "keep the log that proves the least load, and have the installation's other loads stay as they are"};
}

MethodRecord three_phase_load(const MethodFacts& facts) {
  MethodRecord record{Method::three_phase_load,
                      "Three-phase installation whose other loads hold the star point",
                      clause_letters({"i", "a"}),
                      Support::does_not_tell,
                      {},
                      {},
                      second_hand};
  record.letters += std::string("; ") + withdrawal_dispute;
  if (facts.phase_count == 1) {
    record.support = Support::contradicts;
    record.finding = "the supply has one phase, and this method is for a three-phase installation";
    record.next_step = "none: it falls away";
    return record;
  }
  Judgement judgement = load_alone(facts);
  const Standing standing = standing_of_three_phase_method(facts.edition);
  if (standing == Standing::withdrawn) {
    record.support = Support::contradicts;
    record.finding =
        fmt::format("by both accounts the method is withdrawn in the edition designed to ({}); {}",
                    facts.edition, judgement.finding);
    record.next_step = "check the licensed text of the edition that the design date falls under";
    return record;
  }
  record.support = judgement.support;
  record.finding = std::move(judgement.finding);
  record.next_step = std::move(judgement.next_step);
  if (standing == Standing::disputed && record.support == Support::supports) {
    record.support = Support::does_not_tell;
    record.finding += "; whether the method still stands is open, since ";
    record.finding += withdrawal_dispute;
    record.next_step = "state the edition designed to, and check its licensed text for this method";
  }
  return record;
}

MethodRecord supplementary_electrode(const MethodFacts& facts) {
  MethodRecord record{Method::supplementary_electrode,
                      "Electrode at the MET that keeps it within the limit; the installation stays on PME",
                      clause_letters({"ii", "b"}),
                      facts.electrode.support,
                      facts.electrode.finding,
                      facts.electrode.next_step,
                      second_hand};
  if (record.finding.empty()) record.finding = "no electrode has been judged yet";
  if (record.next_step.empty()) record.next_step = "measure the soil, or the electrode if there is one";
  return record;
}

MethodRecord probe_device(const MethodFacts& facts) {
  MethodRecord record{Method::probe_device,
                      "Device that measures the MET against true earth with its own probe, and disconnects",
                      clause_letters({"iii", "c"}),
                      facts.probe.support,
                      facts.probe.finding,
                      facts.probe.next_step,
                      std::string(second_hand) +
                          "; the figures for the probe are common practice without a source"};
  if (record.finding.empty())
    record.finding =
        fmt::format("it acts above {:.4g} V whatever the load and the electrode are, so none of these data "
                    "speak against it; it needs ground for a probe, and nothing here tells of that",
                    facts.limit_v);
  if (record.next_step.empty())
    record.next_step =
        "find a place for the probe clear of metal on the PME earth (2 m is common practice, no source), and "
        "ask the maker what probe resistance the device bears: a high one makes it read low";
  return record;
}

std::string blind_case_in_words(const supply::BlindCase& blind, double limit_v) {
  const int phase = blind.watched_phases.front();
  return fmt::format("with {:.4g} V at the source and {:.4g} / {:.4g} / {:.4g} A on the phases, which lies "
                     "within the stated "
                     "loads, the MET would stand at {:.4g} V (limit {:.4g} V) while the device on L{} reads "
                     "{:.4g} V, inside "
                     "the window of 207 to 253 V",
                     blind.source_v, blind.phase_current_a[0], blind.phase_current_a[1],
                     blind.phase_current_a[2], blind.met_v, limit_v, phase,
                     blind.line_to_neutral_v[static_cast<std::size_t>(phase - 1)]);
}

MethodRecord line_to_neutral_device(const MethodFacts& facts) {
  MethodRecord record{
      Method::line_to_neutral_device,
      "Device that watches the line-to-neutral voltage, and disconnects outside its window",
      clause_letters({"iv", "d"}),
      Support::does_not_tell,
      {},
      {},
      std::string(second_hand) +
          "; A1:2020 kept it to single-phase installations, a limit said to be dropped later"};
  if (facts.blind_case && facts.blind_case->met_v > facts.limit_v) {
    record.support = Support::contradicts;
    record.finding = blind_case_in_words(*facts.blind_case, facts.limit_v);
    record.next_step = "a device that measures against true earth, or one that watches all three phases";
  } else if (!facts.is_blind_case_sought) {
    record.finding = "not looked into: the loads are not known";
    record.next_step = "state the loads on each phase";
  } else {
    if (facts.phase_count == 1) record.support = Support::supports;
    record.finding = fmt::format(
        "for no load tried within the stated intervals would the MET pass {:.4g} V while the phase watched "
        "stays inside the window of 207 to 253 V: {}; it also misses a MET that is raised from the "
        "distributor's side",
        facts.limit_v,
        facts.blind_case ? fmt::format("there it reaches {:.3g} V at most", facts.blind_case->met_v)
                         : std::string("every load tried takes it outside"));
    record.next_step = "check that the edition designed to admits it for this number of phases";
  }
  return record;
}

MethodRecord equivalent_device() {
  return {Method::equivalent_device,
          "Another device that is no less safe, such as one inside the charging equipment",
          clause_letters({"v", "e"}),
          Support::does_not_tell,
          "it rests on the maker's evidence, which no measurement on site replaces or contradicts",
          "ask the maker which edition and product standard the device is declared to, and how it senses an "
          "open PEN",
          second_hand};
}

MethodRecord separated_circuit(const MethodFacts& facts) {
  MethodRecord record{Method::separated_circuit,
                      "Electrical separation: a fixed isolating transformer for one charge point",
                      "722.413.1.2",
                      Support::does_not_tell,
                      "it does not depend on soil, electrode or the balance of the loads",
                      "ask for price, losses and room of a transformer of the charge point's rating",
                      second_hand};
  if (facts.charge_point_count == 0 || facts.charge_point_va <= 0.0) {
    record.finding += "; no load is marked as the charge point";
    return record;
  }
  if (facts.charge_point_count > 1) {
    record.support = Support::contradicts;
    record.finding +=
        fmt::format("; one transformer serves one charge point, and there are {}", facts.charge_point_count);
    record.next_step = "a transformer to each of them, or another method";
    return record;
  }
  record.finding += fmt::format("; the charge point draws up to {:.3g} kVA", facts.charge_point_va / 1e3);
  if (!facts.transformer_va) {
    record.finding += ", and no transformer is offered";
    return record;
  }
  const bool is_enough = *facts.transformer_va >= facts.charge_point_va;
  record.support = is_enough ? Support::supports : Support::contradicts;
  record.finding += fmt::format(", against a transformer of {:.3g} kVA", *facts.transformer_va / 1e3);
  record.next_step = is_enough ? "see that its output stays unearthed and that nothing else is fed from it"
                               : "a larger transformer, or a lower setting of the charge point";
  return record;
}

/// What bridges a TT system: metal that one person can touch with the vehicle, and metal that lifts its electrode.
/// Either speaks against TT as it stands, whatever the resistance.
void judge_bridging(const MethodFacts& facts, MethodRecord& record) {
  if (facts.tt_transferred_v) {
    const Estimate& transferred_v = *facts.tt_transferred_v;
    const bool is_beyond = transferred_v.least > facts.tt_limit_v;
    record.finding +=
        fmt::format("; with the PEN broken that metal brings {:.3g} to {:.3g} V to the TT electrode, {} "
                    "{:.4g} V",
                    transferred_v.least, transferred_v.greatest,
                    is_beyond                                    ? "above"
                    : transferred_v.greatest <= facts.tt_limit_v ? "within"
                                                                 : "which may pass",
                    facts.tt_limit_v);
    if (is_beyond) {
      record.support = Support::contradicts;
      record.next_step = "put the electrode further from that metal, or choose another method";
    }
  }
  if (!facts.within_reach.empty()) {
    record.support = Support::contradicts;
    record.finding += fmt::format("; within arm's reach of where the vehicle can stand: {}",
                                  fmt::join(facts.within_reach, ", "));
    record.next_step = "keep the vehicle, or that metal, out of arm's reach, or choose another method";
  }
  if (!facts.bridged.empty()) {
    record.support = Support::contradicts;
    record.finding += fmt::format("; {}", fmt::join(facts.bridged, "; "));
    record.next_step = "take the bridge away, or choose another method";
  } else if (facts.unchecked_bridge_count > 0) {
    record.finding += fmt::format("; {} of the bridging checks not done: it cannot be decided until they are",
                                  facts.unchecked_bridge_count);
  }
}

MethodRecord tt_island(const MethodFacts& facts) {
  MethodRecord record{Method::tt_island,
                      "TT earthing for the charge point, or for the whole installation",
                      "411.5, with a note to 722.411.4.1 that separation may not be had",
                      facts.tt_resistance.support,
                      facts.tt_resistance.finding,
                      {},
                      second_hand};
  if (record.finding.empty()) record.finding = "no resistance to earth is known yet";
  if (record.support == Support::contradicts) {
    record.next_step = facts.tt_resistance.next_step;
    return record;
  }
  // A resistance that serves is half of it: metal on the PME earth within reach or nearby in the ground
  // carries the raised voltage to the TT side.
  const bool is_resistance_met = record.support == Support::supports;
  record.support = Support::does_not_tell;
  if (facts.tt_separation_m) {
    record.finding += fmt::format(
        "; separation in the ground from metal on the PME earth: {:.3g} m, against 2 to 3.6 m asked for by "
        "different distributors (common practice, no single table)",
        *facts.tt_separation_m);
    record.next_step =
        "have the distributor confirm the separation, and check that nobody can touch both earths";
  } else {
    record.finding += "; the separation from metal on the PME earth is not known, above ground or below";
    record.next_step = "measure the distance to every pipe, sheath and fence on the PME earth, and ask the "
                       "distributor what it asks for";
  }
  const bool is_transfer_met = facts.tt_transferred_v && facts.tt_transferred_v->greatest <= facts.tt_limit_v;
  if (is_resistance_met && is_transfer_met && facts.is_reach_checked && facts.unchecked_bridge_count == 0)
    record.support = Support::supports;
  judge_bridging(facts, record);
  record.finding +=
      "; TT leaves appliances exposed to the over-voltage of an open PEN on the part that stays "
      "on PME";
  return record;
}

}  // namespace

std::span<const std::string_view> method_words() {
  static constexpr std::array<std::string_view, 7> words{"three-phase load",
                                                         "supplementary electrode",
                                                         "probe device",
                                                         "line-to-neutral device",
                                                         "equivalent device",
                                                         "separated circuit",
                                                         "tt"};
  return words;
}

std::string_view method_word(Method method) {
  return method_words()[static_cast<std::size_t>(method)];
}

std::optional<Method> method_named(std::string_view word) {
  for (std::size_t i = 0; i < method_words().size(); ++i) {
    if (method_words()[i] == word) return static_cast<Method>(i);
  }
  return std::nullopt;
}

std::string_view what_it_protects(Method method) {
  switch (method) {
  case Method::three_phase_load:
  case Method::supplementary_electrode:
    return "everything on the MET, outdoor metal included, within the limit; appliances are not kept from "
           "the "
           "over-voltage of an open PEN";
  case Method::probe_device:
  case Method::line_to_neutral_device:
  case Method::equivalent_device:
    return "the vehicle and its charge point only: other outdoor metal on the MET stays raised, and "
           "appliances are not "
           "kept from the over-voltage";
  case Method::separated_circuit:
    return "the vehicle only; other outdoor metal on the MET stays raised";
  case Method::tt_island:
    return "what is on the TT part only; metal that stays on PME is raised as before, and appliances are not "
           "kept from "
           "the over-voltage of an open PEN";
  }
  throw InternalError("what_it_protects: a method without its words");
}

std::string_view support_name(Support support) {
  switch (support) {
  case Support::supports:
    return "supports";
  case Support::contradicts:
    return "contradicts";
  case Support::does_not_tell:
    return "does not tell";
  }
  throw InternalError("support_name: a support without a name");
}

std::vector<MethodRecord> method_records(const MethodFacts& facts) {
  if (facts.phase_count != 1 && facts.phase_count != 3) {
    throw DomainError("facts.phase_count", facts.phase_count, "", "1 or 3");
  }
  return {three_phase_load(facts), supplementary_electrode(facts),
          probe_device(facts),     line_to_neutral_device(facts),
          equivalent_device(),     separated_circuit(facts),
          tt_island(facts)};
}

}  // namespace ohmroot::routes
