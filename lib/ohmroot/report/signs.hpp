// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/quantity.hpp>

#include <string>
#include <string_view>

namespace ohmroot::report {

/// A text for reading on pages and pictures: "12 kohm" and "100 ohm m" get the ohm sign, and a number is
/// held together with its unit by a no-break space. UTF-8. Words ("ohms", "per ohm m") stay as they are.
[[nodiscard]] std::string with_signs(std::string_view text);

/// An SI value as somebody gave it, "2.4 m", "216.2 V": no zeros added, and with six figures not rounded
/// where a report must not round. Plain text, without the signs.
[[nodiscard]] std::string as_given(double si_value, Dimension dimension,  // unit: SI unit of dimension
                                   int most_figures = 6);

/// A computed SI value with unit to three significant figures, with the signs of with_signs.
[[nodiscard]] std::string shown(double si_value, Dimension dimension);  // unit: SI unit of dimension

}  // namespace ohmroot::report
