// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding {

/// What a sheet says about how it was taken, in lines above its table.
enum class RecordKind {
  site,
  date,
  instrument,
  weather,
  soil,
  nearby_metal,
  spacing_error,
  last_digit,
  other
};

struct RecordEntry {
  RecordKind kind = RecordKind::other;
  std::string key;    ///< as it stands in the sheet
  std::string value;  ///< as it stands in the sheet
  int line = 0;
};

/// "Date", "Weather:", "Instrument class", "Ground", "Buried metal", "Spacing error", "Last digit": what the first
/// cell of such a line is about; letters of either case.
[[nodiscard]] RecordKind record_kind(std::string_view key);

/// For people: "date", "nearby metal".
[[nodiscard]] std::string_view record_word(RecordKind kind);

/// What a good record says and this one does not (IEEE 80-2000 cl. 13.3: temperature, moisture, known buried
/// objects; instrument and date besides, common practice).
[[nodiscard]] std::vector<RecordKind> missing_record(const std::vector<RecordEntry>& record);

}  // namespace ohmroot::sounding
