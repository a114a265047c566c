// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/field_sheet.hpp>

namespace ohmroot::sounding::detail {

/// As read_field_sheet(), each line of a field book a reading of its own: repeats are not joined.
[[nodiscard]] FieldSheet read_single_readings(std::string_view bytes, const SheetDefaults& defaults,
                                              Diagnostics& diagnostics);

}  // namespace ohmroot::sounding::detail
