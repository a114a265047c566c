// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/sheet_cells.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>

namespace ohmroot::sounding::detail {

/// AB is three times MN, both about one centre.
[[nodiscard]] bool is_wenner_geometry(const FourPoleReading& reading);

/// Array and places of the stakes of a row.
struct RowGeometry {
  std::optional<FourPoleReading> reading;  ///< none: missing or wrong, which has then been reported
  bool is_array_inferred = false;          ///< AB and MN are stated, the array is not
};
[[nodiscard]] RowGeometry geometry_of(const text::Row& row, SheetCells& cells,
                                      std::optional<Array> default_array);

}  // namespace ohmroot::sounding::detail
