// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/detail/sheet_cells.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>

namespace ohmroot::sounding::detail {

/// Whether a row tells how deep a rod stands and no spacing, so that it is none of a four-pole reading.
[[nodiscard]] bool is_rod_row(const text::Row& row, const SheetCells& cells);

/// A table of driven rods and of no stakes.
[[nodiscard]] bool is_of_rods_alone(const Header& header);

/// What is wrong with the columns of a table of rods alone: no diameter, no resistance. False if something is.
[[nodiscard]] bool check_rod_columns(const Header& header, Diagnostics& diagnostics);

/// The rod of a row, its stakes and its name, without a resistance; nothing if something is missing or wrong, which has
/// then been reported.
[[nodiscard]] std::optional<DrivenRodReading> rod_of_row(const text::Row& row, SheetCells& cells);

}  // namespace ohmroot::sounding::detail
