// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report::detail {

/// What the metal near the electrode does, as a section; nothing where the study knows of none.
void write_nearby(Html& html, const study::StudyResult& result);

[[nodiscard]] text::Value nearby_document(const study::NearbyFinding& nearby);
[[nodiscard]] text::Value vehicle_touch_document(const study::VehicleTouch& touch);

/// One sentence, in volts where met_v, that of the MET with the PEN broken, is known: else it is 0.
[[nodiscard]] std::string vehicle_touch_words(const study::VehicleTouch& touch, double met_v);

}  // namespace ohmroot::report::detail
