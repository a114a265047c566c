// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/sheet_cells.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>

namespace ohmroot::sounding::detail {

/// R, or the mean of its repeats, or V / I, or R from an apparent resistivity of known geometry; the repeats are noted
/// in the geometry's reading.
Found resistance_of(const text::Row& row, SheetCells& cells, std::optional<FourPoleReading>& geometry);

/// The mean of both ways of the current; false if they cannot be one reading.
bool take_polarity(const text::Row& row, SheetCells& cells, FourPoleReading& reading);

}  // namespace ohmroot::sounding::detail
