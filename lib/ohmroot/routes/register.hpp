// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/answer.hpp>

#include <array>
#include <cstddef>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// A rule that this work rests on, in our own words, for the user to tick against the licensed copy: yes, it says so; no,
/// it does not; not known: not looked up. The wording of a clause is never reproduced.
struct RegisterEntry {
  std::string_view key;    ///< in the site file
  std::string_view where;  ///< publication and clause
  std::string_view topic;  ///< what is taken from it
  std::string_view known;  ///< how it is known here: second-hand, from memory
};
inline constexpr std::size_t register_count = 12;
[[nodiscard]] const std::array<RegisterEntry, register_count>& clause_register();

/// By entry.
using RegisterAnswers = std::array<Answer, register_count>;

}  // namespace ohmroot::routes
