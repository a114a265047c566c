// SPDX-License-Identifier: MIT
// The words of safe working, in one place. Common practice, no source.
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/safe_working.hpp>

#include <algorithm>
#include <array>
#include <string>

namespace ohmroot::sounding {
namespace {

struct Wording {
  SafetyQuestion question;
  std::string_view name;
  std::string_view words;
  std::string_view advice;
};

constexpr std::array<Wording, 7> wordings{{
    {SafetyQuestion::services_searched, "services searched",
     "Buried services searched for, under every stake too?",
     "Search with plans and locator before any stake or rod goes in; push short stakes in by hand."},
    {SafetyQuestion::met_proved, "MET proved against remote earth",
     "MET proved not live against a remote earth?",
     "An open PEN makes the MET and all bonded metal live: prove it against a stake well away before "
     "touching."},
    {SafetyQuestion::conductors_clamped, "earth and bonds clamped",
     "Earth and bonding conductors clamped, no abnormal current?",
     "With abnormal current open nothing, keep clear and call the distributor."},
    {SafetyQuestion::vehicle_disconnected, "vehicle disconnected",
     "Vehicle disconnected from the charge point?",
     "Disconnect the vehicle: its body is at the potential of the MET."},
    {SafetyQuestion::isolated, "installation isolated", "Installation isolated?",
     "Never take the supply's earth off a live installation to measure."},
    {SafetyQuestion::electrode_separated, "electrode separated", "Electrode separated from the MET?",
     "Still connected, the test reads the network and not the electrode."},
    {SafetyQuestion::weather, "weather safe", "Weather safe, no lightning near?",
     "Stop and leave the leads alone while lightning is near."},
}};

const Wording& wording(SafetyQuestion question) {
  return wordings.at(static_cast<std::size_t>(question));
}

std::string lowered(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; });
  return lower;
}

}  // namespace

std::span<const SafetyQuestion> safety_questions(Work work) {
  static constexpr std::array<SafetyQuestion, 3> four_pole{
      SafetyQuestion::services_searched, SafetyQuestion::weather, SafetyQuestion::vehicle_disconnected};
  static constexpr std::array<SafetyQuestion, 7> all{
      SafetyQuestion::services_searched,    SafetyQuestion::weather,
      SafetyQuestion::met_proved,           SafetyQuestion::conductors_clamped,
      SafetyQuestion::vehicle_disconnected, SafetyQuestion::isolated,
      SafetyQuestion::electrode_separated};
  if (work == Work::four_pole) return four_pole;
  return all;
}

std::string_view safety_name(SafetyQuestion question) {
  return wording(question).name;
}

std::string_view safety_words(SafetyQuestion question) {
  return wording(question).words;
}

std::string_view safety_advice(SafetyQuestion question) {
  return wording(question).advice;
}

std::string_view answer_word(SafetyAnswer answer) {
  switch (answer) {
  case SafetyAnswer::yes:
    return "yes";
  case SafetyAnswer::no:
    return "no";
  case SafetyAnswer::not_known:
    return "not known";
  }
  throw InternalError("an answer without a word");
}

std::optional<SafetyAnswer> read_answer(std::string_view typed) {
  const std::string word = lowered(typed);
  if (word == "y" || word == "yes") return SafetyAnswer::yes;
  if (word == "n" || word == "no") return SafetyAnswer::no;
  if (word == "?" || word == "not known" || word == "unknown" || word == "nk") return SafetyAnswer::not_known;
  return std::nullopt;
}

std::optional<SafetyQuestion> read_safety_name(std::string_view name) {
  for (const Wording& w : wordings) {
    if (lowered(w.name) == lowered(name)) return w.question;
  }
  return std::nullopt;
}

}  // namespace ohmroot::sounding
