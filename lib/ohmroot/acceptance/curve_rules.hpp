// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::acceptance {

/// One reading of a fall-of-potential test. Distances from the same start, along the ground.
struct StakeReading {
  double current_distance_m;
  double potential_distance_m;
  double resistance_ohm;
  double between_deg = 0.0;  // unit: degrees, between the lines to the two stakes
  int sheet_line = 0;        ///< 0: not from a sheet
};

/// Readings with the same current stake, in one line with it, potential distances ascending; a distance that
/// was read twice stands once, with the mean.
struct StraightCurve {
  double current_distance_m;
  std::vector<double> potential_distance_m;
  std::vector<double> resistance_ohm;
};
/// Curves by distance of the current stake, ascending. Readings aside of the line, or with the potential
/// stake beyond the current stake, belong to none.
[[nodiscard]] std::vector<StraightCurve> straight_curves(const std::vector<StakeReading>& readings);

/// Longest run of neighbouring readings within tolerance_ratio of their mean, at least three and at least
/// a fifth of the distance of the current stake wide.
/// Source: 'flat part' of the curve: common practice, no source for the widths.
struct FlatPart {
  double from_m;
  double to_m;
  double mean_ohm;
};
[[nodiscard]] std::optional<FlatPart> flat_part(const StraightCurve& curve, double tolerance_ratio);

/// Reading at a distance, by a monotone curve through the points (linear between two or three). Nothing
/// outside them.
[[nodiscard]] std::optional<double> reading_at(const StraightCurve& curve,  // unit: ohm
                                               double potential_distance_m);

/// 61.8 % rule: the reading with the potential stake there. Nothing if the curve does not reach so far.
[[nodiscard]] std::optional<double> reading_at_61_8_percent(const StraightCurve& curve);  // unit: ohm

/// Slope method: readings at 20, 40 and 60 % of the current stake's distance say where the potential stake
/// has to stand. The table is derived from a hidden electrical centre (electrode/fall_of_potential.hpp); of
/// the published table only the rows 0.40 -> 0.643 and 0.80 -> 0.580 are known, from memory (Tagg, 1964).
struct SlopeResult {
  double slope_ratio = 0.0;
  std::optional<double> position_ratio;  ///< of the current stake's distance; none outside the table
  std::optional<double> resistance_ohm;
  std::string refusal;  ///< why there is none
};
/// Nothing if the curve does not span 20 to 60 %.
[[nodiscard]] std::optional<SlopeResult> slope_method(const StraightCurve& curve);

/// Intersecting curves: for a centre X behind the start each current distance D puts the right place at
/// 0.618 (D + X) - X; the X at which the curves agree best, and what they read there.
/// Source: Tagg, Earth Resistances (1964), for the method (from memory); the expression is derived.
struct Intersection {
  double centre_m;  ///< of the electrical centre behind the start; negative: before it
  double resistance_ohm;
  double spread_ratio;  ///< greatest less least over the mean, of the curves there
};
/// Needs two curves whose current stakes are at least a fifth apart; nothing otherwise, or if the right places
/// of no centre from -5 % to 50 % of the least current distance lie on all curves.
[[nodiscard]] std::optional<Intersection> intersecting_curves(const std::vector<StraightCurve>& curves);

}  // namespace ohmroot::acceptance
