// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/curve_rules.hpp>
#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/csv.hpp>

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::acceptance::detail {

[[nodiscard]] std::string lower_case(std::string_view text);

/// A row that names the column of R, and so heads the table.
[[nodiscard]] bool is_heading(const text::Row& row);

/// The readings below a heading; the columns of the stakes may be missing only if is_one_reading.
[[nodiscard]] std::vector<StakeReading> read_table(const text::Sheet& sheet, std::size_t heading,
                                                   bool is_one_reading, Diagnostics& diagnostics);

}  // namespace ohmroot::acceptance::detail
