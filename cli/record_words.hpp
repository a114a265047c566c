// SPDX-License-Identifier: MIT
#pragma once

#include "record_session.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::cli {

/// Text and an item of a list for a small screen: a phone or half a screen is what there is on site.
[[nodiscard]] std::string said(std::string_view text, int indent = 0);
[[nodiscard]] std::string item(std::string_view text);

/// "a = 4 m, R = 12.3 ohm, apparent resistivity 309 ohm m"
[[nodiscard]] std::string reading_words(const sounding::FourPoleReading& reading);

/// Spacing, R and apparent resistivity, each as the cell of a table.
[[nodiscard]] std::vector<std::string> reading_cells(const sounding::FourPoleReading& reading);

/// Says that a reading is on disk, what is to be said against it, and draws the curve with it.
void print_kept(const RecordSession& session, const KeptReading& kept, int replaced_line);

}  // namespace ohmroot::cli
