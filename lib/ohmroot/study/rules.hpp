// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::study {

inline constexpr std::string_view default_limit_basis =
    "70 V between MET and true earth with the PEN broken: BS 7671 regulation 722.411.4.1 (quoted "
    "second-hand; "
    "check the licensed text)";
inline constexpr std::string_view default_tt_limit_basis =
    "50 V for R_A times I_dn: BS 7671 regulation 411.5.3 (quoted second-hand; check the licensed text)";

/// What this library holds of the rules asked for.
struct RulesHeld {
  bool is_held = false;
  std::string statement;  ///< in words, printed in every report
};
struct RulesAsked {
  std::string jurisdiction;
  std::string edition;
};
/// Only the jurisdiction GB is held, by second-hand quotation of BS 7671 Section 722. Another is told so and
/// never given these clauses.
[[nodiscard]] RulesHeld rules_held(const RulesAsked& asked);

/// What every report carries, in our own words.
[[nodiscard]] const std::vector<std::string>& cautions();

}  // namespace ohmroot::study
