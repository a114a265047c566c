// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/reading.hpp>

namespace ohmroot::sounding {

/// Parts of a reading's error, each one standard deviation.
struct ErrorParts {
  double instrument_ratio = 0.05;  ///< of the value, as its class or the user says
  double last_digit_ohm = 0.0;     ///< one count of the display; its rounding is even over it (over sqrt(12))
  double spacing_error_m = 0.0;    ///< of the place of each stake along each direction, stakes on their own
};

/// Relative error of the geometric factor when each stake is off by so much on its own: 2.06 e / a for Wenner
/// (derived). Line arrays along the line only. Throws DomainError as geometric_factor_m(), and unless the error
/// is finite and not negative.
[[nodiscard]] double spacing_error_ratio(const FourPoleReading& reading, double spacing_error_m);

/// All parts in squares, the scatter of the reading's repeats (over the root of their number) included.
[[nodiscard]] double combined_error_ratio(const FourPoleReading& reading, const ErrorParts& parts);

}  // namespace ohmroot::sounding
