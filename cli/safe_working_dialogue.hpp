// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/safe_working.hpp>

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::cli {

/// A line without blanks around it; nothing at the end of input. What comes through a pipe is printed, so that it can be
/// read.
[[nodiscard]] std::optional<std::string> asked(std::string_view prompt);

/// Asks the questions of a day and a site; each answer is handed on as it comes. A 'no' refuses nothing: it is said what to
/// do.
void ask_safe_working(const std::vector<sounding::SafetyQuestion>& open,
                      const std::function<void(sounding::SafetyQuestion, sounding::SafetyAnswer)>& answer);

/// "services searched: yes" as a question and its answer. Throws CommandError(usage), naming the command.
struct GivenAnswer {
  sounding::SafetyQuestion question;
  sounding::SafetyAnswer answer;
};
[[nodiscard]] GivenAnswer read_given_answer(const std::string& words, std::string_view command);

}  // namespace ohmroot::cli
