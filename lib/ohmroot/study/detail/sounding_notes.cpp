// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/soundness.hpp>
#include <ohmroot/study/detail/sounding_notes.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::study::detail {
namespace {

/// Words of the record as they stand, and what a good one says besides.
void add_record(const SoilFromReadings& source, std::vector<std::string>& notes) {
  for (std::size_t i = 0; i < source.sheet.size(); ++i) {
    const sounding::FieldSheet& sheet = source.sheet[i];
    for (const sounding::RecordEntry& entry : sheet.record)
      notes.push_back(fmt::format("{}, line {}: {}: {}", source.file[i], entry.line, entry.key, entry.value));
    std::string missing;
    for (const sounding::RecordKind kind : sounding::missing_record(sheet.record))
      missing += (missing.empty() ? "" : ", ") + std::string(sounding::record_word(kind));
    if (!missing.empty())
      notes.push_back(fmt::format("{}: the record does not say: {}", source.file[i], missing));
    for (const sounding::FourPoleReading& bound : sheet.bounds)
      notes.push_back(fmt::format(
          "{}, line {}: over range: the resistance is at least {}; the fit is held to that", source.file[i],
          bound.sheet_line, format_quantity(bound.resistance_ohm, Dimension::resistance)));
  }
}

}  // namespace

std::vector<std::string> sounding_notes(const SoilFromReadings& source, const Site& site,
                                        const SoilPicture& soil) {
  std::vector<std::string> notes;
  const auto add = [&](const std::vector<sounding::SoundingRemark>& remarks) {
    for (const sounding::SoundingRemark& remark : remarks)
      notes.push_back(remark.sentence);
  };
  add(sounding::traverse_remarks(soil.readings));
  sounding::PlannedElectrode greatest{0.0, 0.0};
  for (const Candidate& candidate : site.candidates) {
    greatest.depth_m = std::max(greatest.depth_m, electrode::greatest_depth_m(candidate.shape));
    greatest.extent_m = std::max(greatest.extent_m, electrode::greatest_extent_m(candidate.shape));
  }
  if (greatest.depth_m > 0.0) add(sounding::plan_remarks(soil.readings, greatest));
  for (const sounding::SegmentStep& step :
       sounding::segment_steps(soil.readings, soil.interpretation->chosen().soil()))
    if (!step.sentence.empty()) notes.push_back(step.sentence);
  add_record(source, notes);
  return notes;
}

}  // namespace ohmroot::study::detail
