// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace ohmroot::sounding {

/// What is asked before anybody measures. A 'no' or 'not known' refuses nothing; it marks the readings.
enum class SafetyQuestion {
  services_searched,     ///< buried services, under every stake
  met_proved,            ///< the MET proved not live against a remote earth
  conductors_clamped,    ///< earth and bonds clamped and found without abnormal current
  vehicle_disconnected,  ///< no vehicle on charge
  isolated,              ///< the installation
  electrode_separated,   ///< the electrode under test, from the MET
  weather,               ///< no lightning near
};
enum class SafetyAnswer { yes, no, not_known };

/// What is about to be done: four-pole readings touch no part of the installation and need three answers only.
enum class Work { four_pole, driving, acceptance };
[[nodiscard]] std::span<const SafetyQuestion> safety_questions(Work work);

/// The name that stands in the book ("services searched"), the question as asked, what to do unless the answer
/// is yes.
[[nodiscard]] std::string_view safety_name(SafetyQuestion question);
[[nodiscard]] std::string_view safety_words(SafetyQuestion question);
[[nodiscard]] std::string_view safety_advice(SafetyQuestion question);
[[nodiscard]] std::string_view answer_word(SafetyAnswer answer);
/// "y", "Yes", "n", "?", "not known"...; nothing if it is none of them.
[[nodiscard]] std::optional<SafetyAnswer> read_answer(std::string_view typed);
[[nodiscard]] std::optional<SafetyQuestion> read_safety_name(std::string_view name);

}  // namespace ohmroot::sounding
