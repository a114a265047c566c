// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// What the data at hand say of a permitted method.
enum class Support { supports, contradicts, does_not_tell };
[[nodiscard]] std::string_view support_name(Support support);

/// The methods by which an outdoor charge point may be used on a PME supply, as groups of the rules.
enum class Method {
  three_phase_load,
  supplementary_electrode,
  probe_device,           ///< device sensing MET to true earth with a probe
  line_to_neutral_device, ///< device sensing the line-to-neutral voltage window
  separated_circuit,
  tt_island,
};

struct MethodRecord {
  Method method;
  std::string title;
  std::string letters;      ///< of the rule in both lettering schemes, or where it stands
  Support support = Support::does_not_tell;
  std::string finding;      ///< the number and threshold it rests on, in words
  std::string next_step;    ///< measurement or question that would decide
};

}  // namespace ohmroot::routes
