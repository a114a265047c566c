// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace ohmroot {

/// What a quantity measures. Inside the library every value is a double in the SI unit of its dimension.
enum class Dimension {
  ratio,                 ///< no unit; "%" is read as 1/100
  length,                ///< m
  area,                  ///< m2
  resistance,            ///< ohm
  resistivity,           ///< ohm m
  voltage,               ///< V
  current,               ///< A
  power,                 ///< W
  time,                  ///< s
  thermal_conductivity,  ///< W/(m K)
  heat_capacity,         ///< J/(m3 K), by volume
  temperature,           ///< degC; the one dimension whose zero is a convention
};

/// Name of the dimension in words ("resistivity"), its unit as printed ("ohm m"), and the suffix that keys
/// and names carry ("ohm_m"; "ratio" for a number without unit).
[[nodiscard]] std::string_view dimension_name(Dimension dimension);
[[nodiscard]] std::string_view unit_text(Dimension dimension);
[[nodiscard]] std::string_view unit_suffix(Dimension dimension);

/// Result of reading a quantity: the SI value, or what is wrong and how to mend it.
struct ParsedQuantity {
  std::optional<double> si_value;  // unit: the SI unit of the dimension asked for
  std::string problem;             ///< empty if and only if si_value holds
  std::string hint;
};

/// Reads "16 mm", "2.4m", "100 ohm m", "100 ohm.m", "30 mA", "7.4 kW", "1.2e3 ohm", "5 %".
/// SI prefixes p n u m c(length) k M G are case-sensitive; both code points of ohm and of micro are read.
/// Refused, each with its own sentence: no unit, wrong dimension (named), decimal comma, "1,234",
/// nan/inf, trailing text, hexadecimal.
[[nodiscard]] ParsedQuantity parse_quantity(std::string_view text, Dimension dimension);

/// Reads a plain finite number without unit, by the same rules.
[[nodiscard]] ParsedQuantity parse_number(std::string_view text);

/// Units that parse_quantity accepts for a dimension, for messages: "m, mm, cm, km, ft".
[[nodiscard]] std::string accepted_units(Dimension dimension);

/// Prints an SI value with its unit and a prefix that reads well, to the given number of significant
/// figures (1 to 17): format_quantity(0.016, length, 3) is "16 mm". Text for people, not for parsing back.
[[nodiscard]] std::string format_quantity(double si_value,
                                          Dimension dimension,  // unit: SI unit of the dimension
                                          int significant_figures = 3);

/// Prints an SI value as somebody stated it: "2.4 m", "216.2 V", no zeros added, at most six figures.
[[nodiscard]] std::string format_given(double si_value, Dimension dimension);

/// Prints a number to the given significant figures without exponent where that reads well.
[[nodiscard]] std::string format_number(double value, int significant_figures = 3);  // unit: none

/// Prints how far a ratio stands from none, with its sign: 0.012 is "+1.2 %", to two significant figures.
[[nodiscard]] std::string format_signed_percent(double off_ratio);

/// The candidate nearest to a misspelt word, or empty if none is near (more than two slips, or a third of its length).
[[nodiscard]] std::string nearest_word(std::string_view word, std::span<const std::string_view> candidates);

}  // namespace ohmroot
