// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

namespace ohmroot::study::detail {

/// Reads the soil source of the site into one picture: interval of resistivity, what it rests on.
[[nodiscard]] SoilPicture picture_of(const Site& site, sounding::StakeDepthRule depth_rule);

/// How far the soil data reach for this electrode. A full sounding: largest Wenner spacing at least the
/// electrode's extent and at least its depth / 0.52 (0.52 a is the median depth of a Wenner reading).
[[nodiscard]] Evidence evidence_for(const SoilPicture& soil, const electrode::Shape& shape);

/// The evidence ladder: which verdicts it can carry.
[[nodiscard]] bool may_rule_out(Evidence evidence);
[[nodiscard]] bool may_accept(Evidence evidence);

/// Middle values of the least and of the most resistive layer, to place the middle of a bracket. [ohm m]
[[nodiscard]] double central_least_resistivity_ohm_m(const SoilPicture& soil);
[[nodiscard]] double central_greatest_resistivity_ohm_m(const SoilPicture& soil);

}  // namespace ohmroot::study::detail
