// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <string>
#include <vector>

namespace ohmroot::sounding {

/// What is to be said of lines and of the sounding as a whole, in a sentence the tech can act on.
struct SoundingRemark {
  std::string sentence;
};

/// How two lines over one site agree, compared where their spacings overlap (at least three places):
///   factor     one lies 2, 3 or 10 times above the other at every spacing: a factor, the leads or a range, not
///              the ground
///   disagree   they differ by more than 30 % (root mean square) and by more than their errors explain: a
///              lateral change or a direction in the ground (practice says 20 to 30 %, from memory)
[[nodiscard]] std::vector<SoundingRemark> traverse_remarks(const std::vector<FourPoleReading>& readings);

/// The electrode that the sounding is for.
struct PlannedElectrode {
  double depth_m;   ///< deepest metal
  double extent_m;  ///< greatest distance in plan; 0 for one rod
};

/// Whether the spacings suit the electrode; spacings are those of the Wenner array that looks as deep:
///   short    the widest looks less deep than the electrode (0.519 a), or is less than its extent (from memory)
///   coarse   a step of more than 2.5 between neighbouring spacings, or fewer than five of them
///   late     the least is more than a metre and more than half the electrode's depth: the top is not seen
/// Throws DomainError unless depth is positive and extent not negative.
[[nodiscard]] std::vector<SoundingRemark> plan_remarks(const std::vector<FourPoleReading>& readings,
                                                       const PlannedElectrode& electrode);

/// Where MN is changed on a Schlumberger line: the step of the curve at AB/2 measured with both.
struct SegmentStep {
  std::string traverse;
  double nearer_half_potential_spacing_m;
  double farther_half_potential_spacing_m;
  int overlap_count = 0;
  double measured_ratio;    ///< apparent resistivity with the longer MN over that with the shorter
  double predicted_ratio;   ///< the same over the layers, by the exact model with both MN
  bool is_lateral = false;  ///< more is left than three standard deviations and 5 %: ground beside the stakes
  std::string sentence;
};

/// Every change of MN with an overlap (AB/2 equal within 1 %), judged over the soil that was fitted. A step
/// that the layers predict is no fault; what is left is a shift of the whole segment. By traverse and MN.
[[nodiscard]] std::vector<SegmentStep> segment_steps(const std::vector<FourPoleReading>& readings,
                                                     const earth::LayeredSoil& soil);

}  // namespace ohmroot::sounding
