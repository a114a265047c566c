// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::acceptance {

/// One rod driven section by section.
struct DrivenRod {
  double diameter_m;
  double section_m;            ///< length of a section
  int greatest_section_count;  ///< that rock, services or the machine allow
};

/// Resistance of the rod at each length in each soil, solved once: afterwards only weights change.
struct DriveTable {
  std::vector<double> length_m;                     ///< ascending
  std::vector<std::vector<double>> resistance_ohm;  ///< by length, then by soil
};

/// By the field solution, tolerance 1 %, in parallel. soils are equally likely draws of what was known before driving.
/// Throws DomainError for no soil, no length, lengths that do not ascend or are not longer than the diameter.
[[nodiscard]] DriveTable drive_table(const std::vector<earth::LayeredSoil>& soils, double diameter_m,
                                     const std::vector<double>& lengths_m);

/// Lengths that the table needs: those that were read, and whole sections from the last one on.
[[nodiscard]] std::vector<double> drive_lengths_m(const DrivenRod& rod,
                                                  const std::vector<sounding::DrivenRodReading>& readings);

/// What a rod of some length is expected to have.
struct LengthForecast {
  double length_m;
  Estimate resistance_ohm;   ///< 5, 50 and 95 % points
  double probability_ratio;  ///< of being at the target or below
};

struct DriveForecast {
  std::vector<LengthForecast> ahead;   ///< next section first; empty when no section is left
  std::vector<LengthForecast> so_far;  ///< at the lengths that were read
  double probability_ratio = 0.0;      ///< of the target being met within the sections left
  double effective_soil_count = 0.0;   // unit: none
  double place_spread_ratio = 0.0;  ///< standard deviation of ln of the place's own factor that was allowed
  bool is_widened =
      false;  ///< what was known of the soil does not explain the readings: more had to be allowed
};

/// Weights every soil by the readings and looks ahead. ln R is normal with the stated errors about ln of the soil's value
/// and a factor of the place, common to all readings of the rod (soil beside the sounding is not the soil of the sounding):
/// ln of it normal about 0 with standard deviation 0.2 (our judgement), and found from the readings, too. Where
/// fewer than 30 soils would be left, more is allowed to that factor until 30 are; half of it then adds to the forecast.
/// A resistance never grows with length, so the greatest length decides whether the target is met.
/// Throws DomainError for a reading whose length is not in the table, or a target that is not positive.
[[nodiscard]] DriveForecast forecast_drive(const DriveTable& table,
                                           const std::vector<sounding::DrivenRodReading>& readings,
                                           double target_ohm);

/// Why driving must stop before anything else is said: nothing is to be touched until it is known what was struck.
struct DriveAlarm {
  std::string sentence;
};

/// The last reading against the ones before it: the sudden fall of doubtful_rod_readings(), or a fall that no soil of
/// the table would make (below half of what the least of them shows).
[[nodiscard]] std::optional<DriveAlarm> drive_alarm(const DriveTable& table,
                                                    const std::vector<sounding::DrivenRodReading>& readings);
/// A rod that stops all at once: rock, a duct, a foundation or a cable.
[[nodiscard]] DriveAlarm refusal_alarm(double length_m);

/// What to do next, and why.
enum class DriveAdvice { stop_danger, stop_met, drive_on, second_rod, stop_hopeless, at_the_end };
[[nodiscard]] std::string_view advice_name(DriveAdvice advice);

struct SecondRod {
  double probability_ratio;         ///< that this rod as it is and a second one like it meet the target
  std::optional<double> cost = {};  // unit: currency; of the second rod
};
/// This rod at its present length with a second one like it, as far away as it is long; the pair's resistance over that of
/// one is taken from the middle soil. The second place has a factor of its own, of which nothing is read yet: the pair comes
/// back halfway to what the soils say, and is less sure than the rod that was read. Throws DomainError without a reading.
[[nodiscard]] SecondRod second_rod(const DriveTable& table,
                                   const std::vector<sounding::DrivenRodReading>& readings,
                                   const earth::LayeredSoil& middle_soil, double target_ohm);
struct DriveCosts {
  double section;  // unit: currency; of one more section, driven
};

struct DriveDecision {
  DriveAdvice advice;
  std::string sentence;
};
/// target met: the last reading, two standard deviations above it, is at the target or below. Hopeless: less than 5 % for
/// this rod and for two. Second rod: where it is more likely to do than the sections left, by 20 points, or as likely
/// (within 5) and cheaper than what is expected to be driven still. Thresholds are our judgement.
[[nodiscard]] DriveDecision decide_drive(const DriveForecast& forecast,
                                         const std::vector<sounding::DrivenRodReading>& readings,
                                         double target_ohm, const std::optional<SecondRod>& second,
                                         const std::optional<DriveCosts>& costs);

}  // namespace ohmroot::acceptance
