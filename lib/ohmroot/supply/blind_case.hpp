// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/published.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <array>
#include <optional>
#include <vector>

namespace ohmroot::supply {

/// A load within the stated intervals under which every phase that the device at the charge point watches stays inside
/// its window of line-to-neutral voltage with the PEN open. Above the limit the device is blind to the raised MET.
struct BlindCase {
  double met_v = 0.0;
  double source_v = 0.0;
  std::array<double, 3> phase_current_a{};  ///< sum of the magnitudes at nominal voltage
  std::array<double, 3> line_to_neutral_v{};
  std::vector<int> watched_phases;
};

/// The one with the highest MET voltage among those tried, above the limit or not: constant impedance, no path to earth,
/// the loads of each phase scaled together from least to greatest in twentieths, at the lowest, middle and highest source
/// voltage. Nothing: the device was outside its window in each of them. What was not found may still be. Watched are the phases of the charge
/// point; if no load is marked as one, any single phase.
/// Source: derived, circuit theory.   Throws DomainError as requirements() does.
[[nodiscard]] std::optional<BlindCase> blind_case(const RequirementQuestion& question,
                                                  const VoltageWindow& window = {});

}  // namespace ohmroot::supply
