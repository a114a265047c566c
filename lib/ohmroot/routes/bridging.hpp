// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/answer.hpp>
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
  [[nodiscard]] bool is_clear() const { return bridged.empty() && not_checked.empty(); }
};
[[nodiscard]] BridgingCheck check_bridging(const BridgeAnswers& answers);

}  // namespace ohmroot::routes
