// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/study/detail/words.hpp>
#include <ohmroot/text/fields.hpp>

#include <array>
#include <optional>

namespace ohmroot::study::detail {

inline constexpr std::array<Word<sounding::Array>, 6> array_words{
    {{sounding::Array::wenner, "wenner"},
     {sounding::Array::wenner_beta, "wenner beta"},
     {sounding::Array::wenner_gamma, "wenner gamma"},
     {sounding::Array::schlumberger, "schlumberger"},
     {sounding::Array::dipole_dipole, "dipole-dipole"},
     {sounding::Array::four_points, "four points"}}};
inline constexpr std::array<Word<sounding::StakeContact>, 2> contact_words{
    {{sounding::StakeContact::bare, "bare"}, {sounding::StakeContact::insulated, "insulated"}}};

/// One reading written in the site file; nothing if it is wrong, which has then been reported.
[[nodiscard]] std::optional<sounding::FourPoleReading> read_reading(const text::Section& section,
                                                                    const sounding::SheetDefaults& defaults);

}  // namespace ohmroot::study::detail
