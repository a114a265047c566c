// SPDX-License-Identifier: MIT
// Fuzzing of the quantity parser; built and run as told in toml.cc, with quantity.cc in its place.
#include "fuzz.hpp"

#include <ohmroot/core/quantity.hpp>

#include <cmath>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using ohmroot::Dimension;
  const std::string_view text = fuzz::as_text(data, size);
  int dimensions_that_fit = 0;
  for (const auto dimension :
       {Dimension::ratio, Dimension::length, Dimension::area, Dimension::resistance, Dimension::resistivity,
        Dimension::voltage, Dimension::current, Dimension::power, Dimension::time,
        Dimension::thermal_conductivity, Dimension::heat_capacity, Dimension::temperature}) {
    const auto parsed = ohmroot::parse_quantity(text, dimension);
    fuzz::require(parsed.si_value.has_value() == parsed.problem.empty());
    if (!parsed.si_value) continue;
    ++dimensions_that_fit;
    fuzz::require(std::isfinite(*parsed.si_value));
    fuzz::require(!ohmroot::format_quantity(*parsed.si_value, dimension, 6).empty());
  }
  fuzz::require(dimensions_that_fit <= 1);  // no text is a length and a resistance at once
  const auto number = ohmroot::parse_number(text);
  fuzz::require(number.si_value.has_value() == number.problem.empty());
  return 0;
}
