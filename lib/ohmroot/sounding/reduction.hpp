// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <string_view>
#include <vector>

namespace ohmroot::sounding {

/// Two potential stakes as one current stake sees them: at middle_m - half_gap_m (M) and middle_m + half_gap_m
/// (N) from it; half_gap_m is negative where N is the nearer one, and 0 where both are equally far.
struct StakeView {
  double middle_m;
  double half_gap_m;
};

/// What A sees and what B sees: whatever the array, resistance = sense_ratio (V of A's view - V of B's view),
/// V the potential at M less that at N. All arrays reduce to this.
struct ArrayView {
  StakeView from_a;
  StakeView from_b;
  double sense_ratio;  ///< +1, or -1 where M is the lower one over uniform soil: testers show no sign
};

/// Throws DomainError where spacings or places are missing or not finite, where two stakes that must be apart
/// coincide, where MN of a Wenner or Schlumberger reading does not lie inside AB, and where M and N are at one
/// potential over uniform soil, so that the array measures nothing.
[[nodiscard]] ArrayView view_of(const FourPoleReading& reading);

/// The same as a sum: resistance = sum of weight times the potential per ampere at the distance. Two terms
/// where A and B see the same (Wenner, Schlumberger), otherwise up to four.
struct PotentialTerm {
  double distance_m;
  double weight_ratio;
};
[[nodiscard]] std::vector<PotentialTerm> potential_terms(const FourPoleReading& reading);

/// Depth of the point contact that stands for a stake. [m]
/// Bare stake: driven length / sqrt(3) (leading order of the average potential of a line contact; checked
/// against the exact values in reference/). Insulated to the tip: the driven depth. Handbook rule: the
/// driven depth whatever the contact.
[[nodiscard]] double effective_stake_depth_m(const FourPoleReading& reading, StakeDepthRule rule);

/// Geometric factor K: apparent resistivity = K R. [m] Always positive.
/// Four point contacts at depth b in uniform soil, images in the surface included:
///   K = 4 pi / |sum over AM, BN minus AN, BM of 1/r + 1/sqrt(r^2 + 4 b^2)|.
/// b = 0: Wenner 2 pi a (beta 6 pi a, gamma 3 pi a), Schlumberger pi (L^2 - l^2) / (2 l), L = AB/2, l = MN/2.
/// Throws DomainError as view_of(), and unless the depth is finite and not negative.
/// Source: Wenner, J. Franklin Inst. 1915 (form with depth from memory; limits checked).
[[nodiscard]] double geometric_factor_m(const FourPoleReading& reading,
                                        StakeDepthRule rule = StakeDepthRule::effective_point);

/// K R. [ohm m] Throws DomainError also for a reading that is a lower bound only.
[[nodiscard]] double apparent_resistivity_ohm_m(const FourPoleReading& reading,
                                                StakeDepthRule rule = StakeDepthRule::effective_point);

/// In words, for printing beside the result: which depth was used and why.
[[nodiscard]] std::string_view stake_depth_note(const FourPoleReading& reading, StakeDepthRule rule);

/// Apparent resistivity that the reading's geometry would show over a layered soil, stakes at the surface.
/// [ohm m]  Exact finite MN, any array. Positive for Wenner alpha and Schlumberger; a difference of
/// differences (beta, dipole-dipole, four points) can turn its sign over strong layers.
[[nodiscard]] double modelled_apparent_resistivity_ohm_m(const earth::LayeredSoil& soil,
                                                         const FourPoleReading& reading);

/// Resistance that the tester would show over a layered soil, the contacts at their effective depth. [ohm]
/// Point contacts in the layers by the kernel at depth; slower than the surface form.
[[nodiscard]] double modelled_resistance_ohm(const earth::LayeredSoil& soil, const FourPoleReading& reading,
                                             StakeDepthRule rule = StakeDepthRule::effective_point);

/// Depth above which half of the reading comes from, over uniform soil. [m]  Wenner 0.519 a, Schlumberger
/// with short MN 0.383 AB/2 (derived; Edwards, Geophysics 42 (1977) 1020 prints 0.519 and 0.190 AB, from
/// memory).
[[nodiscard]] double median_depth_m(const FourPoleReading& reading);

/// Spacing of the Wenner array that looks as deep. [m]
[[nodiscard]] double equivalent_wenner_spacing_m(const FourPoleReading& reading);

/// The spacing a person plots against: a for Wenner in any order, AB/2 for Schlumberger, the equivalent
/// Wenner spacing for the others. [m]
[[nodiscard]] double plotted_spacing_m(const FourPoleReading& reading);

}  // namespace ohmroot::sounding
