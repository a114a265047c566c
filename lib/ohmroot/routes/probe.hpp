// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/routes/methods.hpp>

#include <optional>
#include <string>

namespace ohmroot::routes {

/// A device that measures the MET against a probe in the ground.
struct ProbeFacts {
  std::optional<Estimate> probe_ohm;          ///< of the probe in this soil, field solution
  std::optional<double> input_impedance_ohm;  ///< of the device, by its maker
  std::optional<double> acts_at_v;            ///< voltage shown at which it disconnects, by its maker
  /// Share of the PME metal's potential at the probe: 0 far away. None: not computed, the probe's place or the metal
  /// is not stated.
  std::optional<Estimate> metal_share_ratio;
  std::optional<double> nearest_metal_m;  ///< from the probe, in plan
  double limit_v = 70.0;
};

/// What the device makes of the MET voltage.
struct ProbeReading {
  Judgement judgement;
  std::optional<Estimate> shown_ratio;      ///< voltage shown over that of the MET to remote earth
  std::optional<Estimate> met_when_acts_v;  ///< MET voltage at which the device acts
};

/// Shown = (1 - s) Z / (Z + R): the probe stands in ground that the metal lifts to the share s, and its resistance R
/// divides with the device's input impedance Z. Supports: the device acts below the limit over the whole interval (one
/// per cent above it counts as at it: our judgement); contradicts: above it throughout; else, or where the maker's two
/// figures or the place are not known, it does not tell.
/// Source: circuit and potential theory, derived; 2 m from metal on the PME earth is common practice, no source.
/// Throws DomainError for figures that are not positive and finite, or a share outside 0 to 1.
[[nodiscard]] ProbeReading probe_reading(const ProbeFacts& facts);

}  // namespace ohmroot::routes
