// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>

namespace ohmroot::cli {

/// Local time as "2026-11-26 14:31".
[[nodiscard]] std::string local_time();

/// "2026-11-26" by this device's clock.
[[nodiscard]] std::string today();

/// Why the clock of this device is not to be believed: it shows a day before this program was, or one earlier than a
/// line that is in the book already (an hour's grace, for the end of summer time). Empty if nothing speaks against it.
/// last_line_time: as local_time(); empty for a new book.
[[nodiscard]] std::string clock_doubt(std::string_view last_line_time);

/// The remark with the mark of a clock in doubt behind it; as it was if there is none.
[[nodiscard]] std::string marked_remark(const std::string& remark, std::string_view clock_doubt);

}  // namespace ohmroot::cli
