// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace ohmroot::routes {

/// What somebody found on site. Not known is never taken for a no.
enum class Answer { not_known, no, yes };
[[nodiscard]] constexpr std::string_view answer_name(Answer answer) {  ///< "not known", "no", "yes"
  return answer == Answer::yes ? "yes" : answer == Answer::no ? "no" : "not known";
}

}  // namespace ohmroot::routes
