// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/drive_doubts.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace ohmroot::acceptance {
namespace {

using sounding::DrivenRodReading;

constexpr double doubt_deviations = 3.0;
constexpr double too_deep_ratio = 1.5;
constexpr double least_fall_ratio =
    0.25;  // of one section: a slip that explains must leave a credible reading

std::string words(const DrivenRodReading& reading) {
  return fmt::format("{} at {} (line {})", format_quantity(reading.resistance_ohm, Dimension::resistance),
                     format_quantity(reading.driven_length_m, Dimension::length), reading.sheet_line);
}

/// "; it would fit as 42.0 ohm: a decimal mark that slipped" for the first power of ten that brings it within bounds.
std::string slip(double value, double least, double greatest, Dimension dimension) {
  for (const double factor : {10.0, 100.0, 1000.0}) {
    const double mended = value / factor;
    if (mended < least || mended > greatest) continue;
    return fmt::format("; it would fit as {}: {}", format_quantity(mended, dimension),
                       factor == 1000.0 ? "another unit, or a decimal mark that slipped"
                                        : "a decimal mark that slipped");
  }
  return {};
}

std::optional<DriveDoubt> rise(const DrivenRodReading& shallow, const DrivenRodReading& deep) {
  const double error_ratio = std::hypot(shallow.relative_error_ratio, deep.relative_error_ratio);
  const double allowed_ohm = shallow.resistance_ohm * std::exp(doubt_deviations * error_ratio);
  if (deep.resistance_ohm <= allowed_ohm) return std::nullopt;
  return DriveDoubt{deep.sheet_line,
                    fmt::format("{} is above {}: the resistance of a rod cannot grow as it goes deeper{}",
                                words(deep), words(shallow),
                                slip(deep.resistance_ohm, least_fall_ratio * shallow.resistance_ohm,
                                     allowed_ohm, Dimension::resistance))};
}

}  // namespace

std::vector<DriveDoubt> drive_doubts(const std::vector<DrivenRodReading>& readings, double greatest_depth_m) {
  require_positive("greatest_depth_m", greatest_depth_m, "m");
  std::vector<DrivenRodReading> ordered = readings;
  std::stable_sort(ordered.begin(), ordered.end(), [](const DrivenRodReading& a, const DrivenRodReading& b) {
    return a.driven_length_m < b.driven_length_m;
  });
  std::vector<DriveDoubt> doubts;
  const DrivenRodReading* lowest = nullptr;  // of those less deep
  for (const DrivenRodReading& reading : ordered) {
    require_positive("readings.driven_length_m", reading.driven_length_m, "m");
    require_positive("readings.resistance_ohm", reading.resistance_ohm, "ohm");
    require_positive("readings.relative_error_ratio", reading.relative_error_ratio, "");
    if (reading.driven_length_m > too_deep_ratio * greatest_depth_m)
      doubts.push_back({reading.sheet_line,
                        fmt::format("{} is far deeper than the {} that can be driven here{}", words(reading),
                                    format_quantity(greatest_depth_m, Dimension::length),
                                    slip(reading.driven_length_m, 0.0, too_deep_ratio * greatest_depth_m,
                                         Dimension::length))});
    if (lowest != nullptr) {
      if (auto doubt = rise(*lowest, reading)) doubts.push_back(*std::move(doubt));
    }
    if (lowest == nullptr || reading.resistance_ohm < lowest->resistance_ohm) lowest = &reading;
  }
  return doubts;
}

}  // namespace ohmroot::acceptance
