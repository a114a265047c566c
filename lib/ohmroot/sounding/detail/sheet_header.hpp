// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/detail/columns.hpp>
#include <ohmroot/text/csv.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::sounding::detail {

[[nodiscard]] bool is_header(const Header& header);

/// Index of the first row that names a spacing and a reading.
[[nodiscard]] std::optional<std::size_t> header_row(const text::Sheet& sheet);

/// Names what is missing in the row that comes closest to a header.
void report_missing_header(const text::Sheet& sheet, Diagnostics& diagnostics);

/// Units that are unknown or missing where they matter, second columns of a kind.
void check_units(const Header& header, Diagnostics& diagnostics);

/// How the columns were read.
[[nodiscard]] std::vector<std::string> header_notes(const Header& header);

}  // namespace ohmroot::sounding::detail
