// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/answer.hpp>
#include <ohmroot/routes/arms_reach.hpp>
#include <ohmroot/routes/methods.hpp>

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// What can join a TT part to the PME earth behind the designer's back.
enum class Bridge {
  cable_armour,
  data_screens,
  conduit,
  pipes,
  shared_steel,
  neighbours_metal,
  street_metal,
  ahead_of_rcd,
};
inline constexpr std::size_t bridge_count = 8;

struct BridgeRule {
  Bridge bridge;
  std::string_view key;       ///< in the site file
  std::string_view check;     ///< what to look at; yes: found clear
  std::string_view sentence;  ///< what it means if it is not
};
[[nodiscard]] const std::array<BridgeRule, bridge_count>&
bridge_rules();  ///< source: common practice, no source

/// By Bridge: yes is 'checked and clear', no is 'bridged'.
using BridgeAnswers = std::array<Answer, bridge_count>;

struct BridgingCheck {
  std::vector<std::string> bridged;      ///< sentences
  std::vector<std::string> not_checked;  ///< what is still to be looked at
  /// Metal within arm's reach by the plan while a check says that such metal is out of reach: one of the two is wrong.
  std::vector<std::string> at_odds;
  [[nodiscard]] bool is_clear() const { return bridged.empty() && not_checked.empty() && at_odds.empty(); }
};

/// reach: of the metal above ground that the plan shows. A plan without any proves nothing, so it ticks no check.
[[nodiscard]] BridgingCheck check_bridging(const BridgeAnswers& answers,
                                           const std::vector<ReachFinding>& reach = {});

}  // namespace ohmroot::routes
