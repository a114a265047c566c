// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/safe_working.hpp>
#include <ohmroot/core/error.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::acceptance {

std::string answer_name(Answer answer) {
  switch (answer) {
  case Answer::yes:
    return "yes";
  case Answer::no:
    return "no";
  case Answer::not_known:
    return "not known";
  }
  throw InternalError("an answer without a name");
}

std::optional<Answer> answer_of(std::string_view word) {
  std::string lower(word);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  if (lower == "yes" || lower == "y") return Answer::yes;
  if (lower == "no" || lower == "n") return Answer::no;
  if (lower == "not known" || lower == "unknown" || lower == "?") return Answer::not_known;
  return std::nullopt;
}

const std::vector<SafeQuestion>& safe_questions() {
  static const std::vector<SafeQuestion> questions{
      {"services searched", "buried services searched, under the electrode and under each stake",
       &SafeWorking::services_searched},
      {"met proved", "main earthing terminal proved not live against remote earth", &SafeWorking::met_proved},
      {"current clamped",
       "earthing and bonding conductors clamped, no abnormal current (if there is: open nothing, call the "
       "distributor)",
       &SafeWorking::current_clamped},
      {"vehicle disconnected", "no vehicle connected to a charge point", &SafeWorking::vehicle_disconnected},
      {"isolated", "installation isolated and secured against switching on", &SafeWorking::isolated},
      {"electrode separated",
       "electrode's conductor proved to be off the main earthing terminal for the test, with the "
       "installation isolated",
       &SafeWorking::electrode_separated},
      {"weather safe", "no lightning about, no storm forecast", &SafeWorking::weather_safe},
  };
  return questions;
}

std::vector<std::string> unsafe_answers(const SafeWorking& answers) {
  std::vector<std::string> sentences;
  for (const SafeQuestion& question : safe_questions()) {
    const Answer answer = answers.*question.answer;
    if (answer == Answer::yes) continue;
    sentences.push_back(
        fmt::format("Safe working, '{}': {}. Needed: {}. The readings are kept, but nothing is "
                    "accepted on them.",
                    question.key, answer_name(answer), question.words));
  }
  return sentences;
}

}  // namespace ohmroot::acceptance
