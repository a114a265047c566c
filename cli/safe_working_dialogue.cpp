// SPDX-License-Identifier: MIT
#include "safe_working_dialogue.hpp"

#include "command.hpp"
#include "record_words.hpp"

#include <fmt/format.h>

#include <iostream>
#include <unistd.h>

namespace ohmroot::cli {
namespace {

std::string trimmed(const std::string& text) {
  const auto first = text.find_first_not_of(" \t\r");
  return first == std::string::npos ? std::string()
                                    : text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

}  // namespace

std::optional<std::string> asked(std::string_view prompt) {
  print(prompt);
  std::string line;
  if (!std::getline(std::cin, line)) return std::nullopt;
  line = trimmed(line);
  if (::isatty(STDIN_FILENO) != 1) print(line + "\n");
  return line;
}

void ask_safe_working(const std::vector<sounding::SafetyQuestion>& open,
                      const std::function<void(sounding::SafetyQuestion, sounding::SafetyAnswer)>& answer) {
  if (open.empty()) return;
  print("Safe working today at this site: y yes, n no, ? not known\n");
  for (const sounding::SafetyQuestion question : open) {
    while (const auto typed = asked(fmt::format("  {} ", sounding::safety_words(question)))) {
      const auto given = sounding::read_answer(*typed);
      if (!given) {
        print("  y, n or ?\n");
        continue;
      }
      answer(question, *given);
      if (*given != sounding::SafetyAnswer::yes)
        print(said(std::string(sounding::safety_advice(question)) +
                       " Readings are taken all the same, and marked.",
                   4));
      break;
    }
  }
}

GivenAnswer read_given_answer(const std::string& words, std::string_view command) {
  const auto colon = words.find_first_of(":=");
  const auto question =
      colon == std::string::npos ? std::nullopt : sounding::read_safety_name(trimmed(words.substr(0, colon)));
  const auto answer =
      colon == std::string::npos ? std::nullopt : sounding::read_answer(trimmed(words.substr(colon + 1)));
  if (question && answer) return {*question, *answer};
  std::string names;
  for (const sounding::SafetyQuestion known : sounding::safety_questions(sounding::Work::acceptance))
    names += fmt::format("{}{}", names.empty() ? "" : ", ", sounding::safety_name(known));
  throw CommandError(
      usage,
      fmt::format("{}: --answer '{}' is none; write \"{}: yes\" (or no, or not known); the questions are: {}",
                  command, words, sounding::safety_name(sounding::SafetyQuestion::weather), names));
}

}  // namespace ohmroot::cli
