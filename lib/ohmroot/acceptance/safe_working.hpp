// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::acceptance {

enum class Answer { yes, no, not_known };
[[nodiscard]] std::string answer_name(Answer answer);
/// Reads "yes", "no", "not known" in any case, also "y", "n", "?"; nothing for anything else.
[[nodiscard]] std::optional<Answer> answer_of(std::string_view word);

/// What has to be so before an electrode is tested. Each is 'not known' until it is answered.
/// Source: cautions of good site practice; common practice, no source.
struct SafeWorking {
  Answer services_searched = Answer::not_known;     ///< buried services, under electrode and stakes
  Answer met_proved = Answer::not_known;            ///< MET proved not live against remote earth
  Answer current_clamped = Answer::not_known;       ///< earth and bonds clamped: no abnormal current
  Answer vehicle_disconnected = Answer::not_known;  ///< no vehicle on a charge point
  Answer isolated = Answer::not_known;              ///< installation isolated and secured
  Answer electrode_separated = Answer::not_known;   ///< electrode's conductor off the MET, proved
  Answer weather_safe = Answer::not_known;          ///< no lightning about
};

/// One question: the name that files use, the words for people, and its answer.
struct SafeQuestion {
  std::string_view key;
  std::string_view words;
  Answer SafeWorking::*answer;
};
[[nodiscard]] const std::vector<SafeQuestion>& safe_questions();

/// One sentence for each answer that is not 'yes', with what to do.
[[nodiscard]] std::vector<std::string> unsafe_answers(const SafeWorking& answers);

}  // namespace ohmroot::acceptance
