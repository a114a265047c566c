// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/reading_error.hpp>
#include <ohmroot/sounding/repeats.hpp>

#include <algorithm>

namespace ohmroot::sounding {
namespace {

bool can_join(const FourPoleReading& reading) {
  return reading.array != Array::four_points && reading.repeats_ohm.empty() && !reading.polarity &&
         !reading.is_lower_bound;
}

bool is_one_place(const FourPoleReading& a, const FourPoleReading& b) {
  return can_join(a) && can_join(b) && a.array == b.array && a.traverse == b.traverse &&
         a.half_current_spacing_m == b.half_current_spacing_m &&
         a.half_potential_spacing_m == b.half_potential_spacing_m &&
         a.potential_offset_m == b.potential_offset_m && a.driven_depth_m == b.driven_depth_m &&
         a.contact == b.contact;
}

FourPoleReading joined(const std::vector<FourPoleReading>& readings, const std::vector<std::size_t>& parts) {
  FourPoleReading all = readings[parts.front()];
  if (parts.size() == 1) return all;
  double sum_ohm = 0.0;
  for (const std::size_t part : parts) {
    const FourPoleReading& one = readings[part];
    all.repeats_ohm.push_back(one.resistance_ohm);
    sum_ohm += one.resistance_ohm;
    all.relative_error_ratio = std::min(all.relative_error_ratio, one.relative_error_ratio);
    if (one.contact_ohm) all.contact_ohm = std::max(all.contact_ohm.value_or(0.0), *one.contact_ohm);
  }
  all.resistance_ohm = sum_ohm / static_cast<double>(parts.size());
  all.relative_error_ratio = combined_error_ratio(all, {.instrument_ratio = all.relative_error_ratio});
  return all;
}

}  // namespace

JoinedReadings joined_repeats(const std::vector<FourPoleReading>& readings) {
  JoinedReadings found;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const auto place = std::find_if(found.parts.begin(), found.parts.end(), [&](const auto& parts) {
      return is_one_place(readings[parts.front()], readings[i]);
    });
    if (place == found.parts.end())
      found.parts.push_back({i});
    else
      place->push_back(i);
  }
  for (const std::vector<std::size_t>& parts : found.parts)
    found.readings.push_back(joined(readings, parts));
  return found;
}

}  // namespace ohmroot::sounding
