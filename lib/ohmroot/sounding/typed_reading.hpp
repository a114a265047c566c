// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace ohmroot::sounding {

/// What holds where the typed words say nothing.
struct TypedDefaults {
  /// A reading that is being corrected: what is not typed again stays as it was there.
  std::optional<FourPoleReading> corrected = std::nullopt;
  std::string traverse;
  double driven_depth_m = 0.0;
  double relative_error_ratio = 0.05;
  /// Numbers without unit are metres and ohms, and "4 12.3" is a spacing and a reading: where a prompt says so.
  bool takes_bare_numbers = false;
};

/// One reading as typed: the reading, or what is wrong and how to mend it.
struct TypedReading {
  std::optional<FourPoleReading> reading;
  std::string remark;
  std::string problem;  ///< empty if and only if reading holds
  std::string hint;
};

/// Reads "a=4 m R=12.3 ohm", in any order, from these:
///   a | AB/2 and MN/2   the spacing (Wenner, Schlumberger)
///   R | V and I         the reading; R may be ">1999 ohm" or OL where the tester is over range
///   depth, error        of the stakes; one standard deviation of the reading, in %
///   along, note         name of the traverse; a remark; in double quotes if another key stands in them
/// Whether the numbers are plausible is for the field book to say.
[[nodiscard]] TypedReading read_typed(std::string_view words, const TypedDefaults& defaults = {});

}  // namespace ohmroot::sounding
