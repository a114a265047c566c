// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/bridging.hpp>

#include <fmt/format.h>

namespace ohmroot::routes {

const std::array<BridgeRule, bridge_count>& bridge_rules() {
  static constexpr std::array<BridgeRule, bridge_count> rules{{
      {Bridge::cable_armour, "cable_armour",
       "armour and glands of the supply cable end in an insulating enclosure, and the armour is earthed at "
       "one end only",
       "the armour of the supply cable joins the TT part to the PME earth"},
      {Bridge::data_screens, "data_screens",
       "screens of data and control cables are not earthed at both ends",
       "the screen of a data cable joins the TT part to the PME earth"},
      {Bridge::conduit, "conduit", "no metal conduit or trunking runs from one part to the other",
       "metal conduit joins the TT part to the PME earth"},
      {Bridge::pipes, "pipes",
       "no metal water, gas or heating pipe is within reach of both parts, or is joined to both",
       "a metal pipe joins the TT part to the PME earth"},
      {Bridge::shared_steel, "shared_steel",
       "charge point and vehicle do not stand on steel, reinforcement or a fence that is bonded to the PME "
       "earth",
       "bonded steel joins the TT part to the PME earth"},
      {Bridge::neighbours_metal, "neighbours_metal",
       "the neighbour's bonded metal, charge point and vehicle are out of reach from any parking position",
       "the neighbour's metal on the PME earth can be touched together with the vehicle"},
      {Bridge::street_metal, "street_metal",
       "lamp posts and cabinets of the street are out of reach from any parking position",
       "street metal on a PME earth can be touched together with the vehicle"},
      {Bridge::ahead_of_rcd, "ahead_of_rcd",
       "everything ahead of the RCD is doubly insulated or insulated to the same effect",
       "a fault ahead of the RCD lifts the TT part, and nothing opens"},
  }};
  return rules;
}

BridgingCheck check_bridging(const BridgeAnswers& answers, const std::vector<ReachFinding>& reach) {
  BridgingCheck check;
  // The plan does not say whose metal it is: a tick on both of them leaves none that could be within reach.
  const auto is_ticked = [&](Bridge bridge) {
    return answers.at(static_cast<std::size_t>(bridge)) == Answer::yes;
  };
  if (is_ticked(Bridge::neighbours_metal) && is_ticked(Bridge::street_metal)) {
    for (const ReachFinding& finding : reach) {
      if (!finding.is_within) continue;
      check.at_odds.push_back(
          fmt::format("the neighbour's and the street's metal are ticked as out of reach, but the plan puts "
                      "'{}' {} m from where the "
                      "vehicle can stand, within arm's reach: correct the tick, or the plan",
                      finding.name, format_number(finding.distance_m)));
    }
  }
  for (const BridgeRule& rule : bridge_rules()) {
    switch (answers.at(static_cast<std::size_t>(rule.bridge))) {
    case Answer::yes:
      break;
    case Answer::no:
      check.bridged.emplace_back(rule.sentence);
      break;
    case Answer::not_known:
      check.not_checked.emplace_back(rule.check);
      break;
    }
  }
  return check;
}

}  // namespace ohmroot::routes
