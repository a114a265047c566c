// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/supply/blind_case.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// What the data at hand say of a permitted method.
enum class Support { supports, contradicts, does_not_tell };
[[nodiscard]] std::string_view support_name(Support support);  ///< "supports", "contradicts", "does not tell"

/// The methods by which an outdoor charge point may be used on a PME supply, as groups of the rules.
enum class Method {
  three_phase_load,
  supplementary_electrode,
  probe_device,            ///< device sensing MET to true earth with a probe
  line_to_neutral_device,  ///< device sensing the line-to-neutral voltage window
  equivalent_device,       ///< another device that is no less safe
  separated_circuit,
  tt_island,
};

/// Words for the methods in files: "three-phase load", "supplementary electrode" and so on, in their order.
[[nodiscard]] std::span<const std::string_view> method_words();
[[nodiscard]] std::string_view method_word(Method method);
[[nodiscard]] std::optional<Method> method_named(std::string_view word);
/// Whom and what a method protects, and what it does not.
[[nodiscard]] std::string_view what_it_protects(Method method);

struct MethodRecord {
  Method method;
  std::string title;
  std::string letters;  ///< of the rule in both lettering schemes, or where it stands
  Support support = Support::does_not_tell;
  std::string finding;     ///< the number and threshold it rests on, in words
  std::string next_step;   ///< measurement or question that would decide
  std::string provenance;  ///< how the rule is known: quoted second-hand, from memory
};

/// A judgement made elsewhere, in words with its number and threshold.
struct Judgement {
  Support support = Support::does_not_tell;
  std::string finding;
  std::string next_step;
};

/// What is known of a site so far. Whatever is left out counts as not known.
struct MethodFacts {
  int phase_count = 1;                            ///< of the supply, 1 or 3
  std::string edition;                            ///< of the rules designed to; empty: not stated
  double limit_v = 70.0;                          ///< MET to true earth
  std::vector<supply::Requirement> requirements;  ///< of the loads; empty: loads not known
  Judgement electrode;                            ///< the electrode at the MET against its requirement
  /// Of the MET with the PEN open and no electrode at the load that governs; none: not known.
  std::optional<double> met_without_electrode_v;
  std::optional<supply::BlindCase> blind_case;  ///< the most that a line-to-neutral device would let pass
  bool is_blind_case_sought = false;            ///< whether it was looked for at all
  Judgement tt_resistance;                      ///< R_A times I_dn against its limit
  std::optional<double>
      tt_separation_m;  ///< between a TT electrode and metal on the PME earth; none: unknown
  std::optional<Estimate>
      tt_transferred_v;                    ///< what that metal brings to the TT electrode with the PEN broken
  double tt_limit_v = 50.0;                ///< that it is judged by
  std::vector<std::string> within_reach;   ///< metal on the PME earth within arm's reach of a parked vehicle
  bool is_reach_checked = false;           ///< the parking place and what stands above ground are stated
  std::vector<std::string> bridged;        ///< what joins the TT part to the PME earth, in sentences
  std::size_t unchecked_bridge_count = 8;  ///< of check_bridging()
  Judgement probe;                         ///< of probe_reading(); empty: nothing is known of a probe
  int charge_point_count = 0;              ///< loads that are, or hold, a charge point
  double charge_point_va = 0.0;            // unit: V A; of the greatest of them; 0: none is stated
  std::optional<double> transformer_va;    // unit: V A; rating of an isolating transformer that is offered
};

/// One record per method, in the order of Method. Clauses are paraphrased, never quoted. None of them is a
/// fallback for another: TT too is judged by its own data.
/// Source: BS 7671 regulation 722.411.4.1 and its neighbours, second-hand; each record says how it is known.
[[nodiscard]] std::vector<MethodRecord> method_records(const MethodFacts& facts);

}  // namespace ohmroot::routes
